import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { layCalledCrests } from '../../../server/placement/drawnCrests.ts'
import { placeCalls } from '../../../server/placement/placeCalls.ts'
import { roadFromNotes } from '../../../server/placement/roadFromNotes.ts'

const system = { style: 'numbers', fastest: 'high', scale: 6 } as const
const read = (text: string) => parseNotes(text, { system }).notes
/** A measured road whose heights show nothing: drawn from the same notes without their crests. */
const level = {
  ...roadFromNotes(read('start 100\n4 left 180\n3 right 60\n2 left 100\nfinish\n')).route,
  source: 'measured' as const,
}
const notes = read('start 100\n4 left 90\nover crest 90\n3 right over crest 60\n2 left 100\nfinish\n')
const placement = placeCalls(notes, level)
const laid = layCalledCrests(notes, level, placement)
const crests = laid.route.features.filter((one) => one.kind === 'crest')

describe('a called crest that heights do not show', () => {
  it('is laid on the road where its call is, marked as drawn', () => {
    expect(crests.map((one) => one.drawn)).toEqual([true, true])
    expect(crests.map((one) => one.at)).toEqual(
      [placement.calls[2]!, placement.calls[3]!].map((call) => Math.round(call.crest!)),
    )
  })
  it('bends the road there, and leaves it level again behind', () => {
    const at = crests[0]!.at
    expect(laid.route.verticalCurvature[at]).toBeLessThan(-1 / 500)
    expect(laid.route.z[at]! - level.z[at]!).toBeGreaterThan(0.1)
    expect(laid.route.z.at(-1)! - level.z.at(-1)!).toBeCloseTo(0, 1)
    expect(laid.route.grade.at(-1)! - level.grade.at(-1)!).toBeCloseTo(0, 2)
  })
  it('leaves every call on its own corner, and puts the crest to its call', () => {
    laid.placement.calls.forEach((call, i) => {
      const before = placement.calls[i]!.features.map((f) => level.features[f])
      const now = call.features.map((f) => laid.route.features[f]!)
      expect(now.filter((one) => one.kind === 'corner')).toEqual(before)
      expect(now.filter((one) => one.kind === 'crest').length).toBe(i === 2 || i === 3 ? 1 : 0)
    })
  })
  it('is not drawn where the heights show one', () => {
    const again = layCalledCrests(notes, laid.route, laid.placement)
    expect(again.route).toBe(laid.route)
  })
})
