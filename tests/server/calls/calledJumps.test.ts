import { describe, expect, it } from 'vitest'
import { calledJumps } from '../../../server/calls/calledJumps.ts'
import type { Route } from '../../../server/route/route.ts'
import { syntheticStage } from '../../syntheticStage.ts'

const { notes, placement } = syntheticStage(1, 1)
const jump = {
  ...notes.calls[0]!.elements[0]!,
  meaning: { is: 'crest', sense: 'jump', relation: null, radius: 30 } as const,
}
const withJump = { ...notes, calls: [{ ...notes.calls[0]!, elements: [jump] }] }
const placed = { ...placement, calls: [{ ...placement.calls[0]!, crest: 200 }] }
const route = (features: Route['features']) => ({ features }) as Route
const crest = { kind: 'crest', from: 190, to: 205, at: 200, radius: 30, drawn: false } as const

describe('calledJumps', () => {
  it('takes the crest that the road shows there', () => {
    expect(calledJumps(withJump, placed, route([crest]))).toEqual([{ from: 190, to: 205 }])
  })

  it('takes a stretch about the place where the road shows none', () => {
    const [stretch] = calledJumps(withJump, placed, route([]))
    expect(stretch!.from).toBeLessThan(200)
    expect(stretch!.to).toBeGreaterThan(200)
  })

  it('finds none where only a crest is called', () => expect(calledJumps(notes, placed, route([crest]))).toEqual([]))
})
