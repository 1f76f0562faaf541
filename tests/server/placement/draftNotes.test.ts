import { describe, expect, it } from 'vitest'
import type { GradeSystem } from '../../../server/notes/notes.ts'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { DRAFT_MARK, draftNotes } from '../../../server/placement/draftNotes.ts'
import { placeCalls } from '../../../server/placement/placeCalls.ts'
import { buildRoute } from '../../../server/route/buildRoute.ts'
import { calledRoad } from '../../made/calledRoad.ts'

const system: GradeSystem = { style: 'numbers', fastest: 'high', scale: 6, order: 'grade-first', signs: false }
const route = buildRoute(calledRoad({ seed: 3, length: 4000 }).draft)
const draft = draftNotes(route, { system })

describe('draftNotes', () => {
  it('says in its first line that it is a draft', () => {
    expect(draft.text.split('\n')[0]).toBe(DRAFT_MARK)
  })

  it('reads back without a doubt, one corner for each it counts', () => {
    const { notes, diagnostics } = parseNotes(draft.text, {})
    expect(diagnostics).toEqual([])
    const corners = notes.calls.filter((call) => call.elements.some((element) => element.meaning.is === 'corner'))
    expect(corners.length).toBe(draft.corners)
  })

  it('is placed back on the corners it was drawn from', () => {
    const { notes } = parseNotes(draft.text, { system })
    const placed = placeCalls(notes, route).calls.slice(1, -1)
    const off = placed.filter((call) => call.by !== 'feature' || call.confidence < 0.7)
    expect(off.map((call) => notes.calls[call.index]!.text)).toEqual([])
  })

  it('says the side first, and turns the numbers round, for a crew that does', () => {
    const other = draftNotes(route, { system: { ...system, order: 'side-first', fastest: 'low' } })
    const first = /^(\d) (left|right)/m.exec(draft.text)!
    expect(other.text).toMatch(new RegExp(`^${first[2]} ${7 - Number(first[1])}`, 'm'))
  })

  it('says distances in yards for a crew that reads yards', () => {
    const metres = /^start (\d+)/m.exec(draft.text)![1]
    const yards = /^start (\d+)/m.exec(draftNotes(route, { system, distances: 'yards' }).text)![1]
    // 1 yd = 0.9144 m exactly; both are rounded to ten.
    expect(Math.abs(Number(yards) - Number(metres) / 0.9144)).toBeLessThanOrEqual(10.5)
  })

  it('calls a log’s short bends no wider than the same of a drawn line, and some tighter', () => {
    const grades = (source: 'measured' | 'line') =>
      [...draftNotes({ ...route, source }, { system }).text.matchAll(/^(\d) /gm)].map((one) => Number(one[1]))
    const log = grades('measured')
    const line = grades('line')
    expect(log.length).toBe(line.length)
    expect(log.filter((grade, i) => grade > line[i]!)).toEqual([])
    expect(log).not.toEqual(line)
  })

  it('takes the radii of the crew where they are known', () => {
    const wide = [1, 2, 3, 4, 5, 6].map((n) => ({ grade: String(n), radius: 12 * n, spread: 0.1, calls: 5 }))
    expect(draftNotes(route, { system, scale: wide }).text).not.toBe(draft.text)
  })
})
