import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { placeCalls } from '../../../server/placement/placeCalls.ts'
import { buildRoute } from '../../../server/route/buildRoute.ts'
import { calledRoad } from '../../made/calledRoad.ts'
import { calibration, scorePlacement } from '../../made/scorePlacement.ts'

const stage = calledRoad({ seed: 11, length: 5000, hard: true })
const scored = scorePlacement(stage)
const { notes, route } = scored
/** A corner call in the middle of the stage that the road shows, and the next one. */
const CORNERS = scored.placement.calls.filter(
  (call) => call.by === 'feature' && call.features.length > 0 && call.index > 8,
)
const [A, B] = [CORNERS[0]!, CORNERS[1]!]
const anchor = (call: number, station: number) => ({ call, text: notes.calls[call]!.text, station })

describe('placeCalls on made stages, from the log to the call', () => {
  it('puts nearly every corner call in its corner', () => {
    const right = scored.corners.filter((one) => one.right).length
    expect(right / scored.corners.length).toBeGreaterThan(0.97)
  })

  it('is about as sure as it is right', () => {
    // Some forty calls: the bench measures it on a thousand and more.
    expect(calibration(scored.corners).error).toBeLessThan(0.06)
  })

  it('keeps the calls in the order of the notes', () => {
    const back = scored.placement.calls.filter(
      (call, i) => i > 0 && call.from < scored.placement.calls[i - 1]!.from - 1,
    )
    expect(back).toEqual([])
  })

  it('finds crews’ odometers within 2.5 %, over six made stages', () => {
    const off = [1, 2, 3, 4, 5, 6].map((seed) => {
      const made = calledRoad({ seed, hard: true })
      return Math.abs(scorePlacement(made).placement.odometer / made.odometer - 1)
    })
    expect(off.reduce((a, b) => a + b) / off.length).toBeLessThan(0.025)
  })

  it('lists the grades with faster ones no tighter', () => {
    const rows = [...scored.placement.gradeScale].sort((a, b) => a.table! - b.table!)
    const back = rows.filter((row, i) => i > 0 && row.radius < rows[i - 1]!.radius - 1e-9)
    expect(back).toEqual([])
  })

  it('places notes of no calls, and a road of no features', () => {
    expect(placeCalls(parseNotes('', {}).notes, route).calls).toEqual([])
    const bare = { ...route, features: [] }
    expect(placeCalls(notes, bare).calls.every((call) => call.from >= 0 && call.to <= route.length)).toBe(true)
  })

  it('reads a start and a finish in the middle of the notes as words', () => {
    const twice = parseNotes('start 50\n4 left 40\nfinish\nstart 60\n3 right 40\nfinish\n', {}).notes
    expect(placeCalls(twice, route).evidence).toBeGreaterThan(Number.NEGATIVE_INFINITY)
  })
})

describe('hand anchors', () => {
  it('are held, surely', () => {
    const { calls } = placeCalls(notes, route, { anchors: [anchor(A.index, B.from)] })
    expect(calls[A.index]).toMatchObject({ by: 'anchor', confidence: 1, from: B.from })
  })

  it('push the later calls behind them', () => {
    const { calls } = placeCalls(notes, route, { anchors: [anchor(A.index, B.from)] })
    expect(calls[B.index]!.from).toBeGreaterThanOrEqual(B.from)
  })

  it('that cross leave the newest, and the other is said', () => {
    const old = anchor(B.index, A.from)
    const fresh = anchor(A.index, B.from)
    const { calls, unheld } = placeCalls(notes, route, { anchors: [old, fresh] })
    expect(unheld).toEqual([{ anchor: old, reason: 'crosses' }])
    expect(calls[A.index]!.by).toBe('anchor')
  })

  it('of a call that is gone, or off the road, are said', () => {
    const gone = { call: 3, text: 'no such call', station: 100 }
    const far = anchor(A.index, route.length + 500)
    expect(placeCalls(notes, route, { anchors: [gone, far] }).unheld).toEqual([
      { anchor: gone, reason: 'call-gone' },
      { anchor: far, reason: 'off-road' },
    ])
  })

  it('follow their call when lines are put in before it', () => {
    const longer = parseNotes(`start 10\n1 left 10\n${stage.notes.slice('start'.length)}`, {}).notes
    const moved = placeCalls(longer, route, { anchors: [anchor(A.index, A.from + 3)] })
    const held = moved.calls.filter((call) => call.by === 'anchor').map((call) => longer.calls[call.index]!.text)
    expect(held).toEqual([notes.calls[A.index]!.text])
  })

  it('share a corner that the road shows as one', () => {
    const wide = CORNERS.find((call) => call.to - call.from > 40 && call.features.length === 1)!
    const third = (wide.to - wide.from) / 3
    const { calls, unheld } = placeCalls(notes, route, {
      anchors: [anchor(wide.index, wide.from + third), anchor(wide.index + 1, wide.to - third / 2)],
    })
    expect(unheld).toEqual([])
    expect(calls[wide.index]!.to).toBeLessThanOrEqual(calls[wide.index + 1]!.from + 1)
  })
})

describe('a road built twice', () => {
  it('is placed the same', () => {
    expect(placeCalls(notes, buildRoute(stage.draft))).toEqual(scored.placement)
  })
})
