import { describe, expect, it } from 'vitest'
import type { CallWindow } from '../../../server/calls/plan.ts'
import { findCrunches, schedule } from '../../../server/calls/schedule.ts'
import { seededRandom } from '../../seededRandom.ts'
import { scheduleByQuadraticProgram } from './quadraticProgram.ts'
import { randomWindows } from './randomWindows.ts'

const window = (length: number, earliest: number, latest: number, preferred: number): CallWindow => ({
  length,
  earliest,
  latest,
  preferred,
  weight: 1,
})
const cost = (windows: readonly CallWindow[], starts: readonly number[]) =>
  windows.reduce((sum, one, i) => sum + one.weight * (starts[i]! - one.preferred) ** 2, 0)

describe('schedule', () => {
  it('agrees with a general quadratic program on 400 random lists', () => {
    const random = seededRandom(11)
    for (let round = 0; round < 400; round++) {
      const windows = randomWindows(random, 1 + Math.floor(random() * 12))
      const { starts, soonest } = schedule(windows)
      const expected = scheduleByQuadraticProgram(windows, soonest)
      starts.forEach((start, i) => {
        expect(Math.abs(start - expected[i]!), `list ${round}, call ${i}`).toBeLessThan(2e-6)
      })
    }
  })

  it('leaves no lateness that any whole-number order-keeping schedule avoids', () => {
    const random = seededRandom(5)
    for (let round = 0; round < 200; round++) {
      const windows = randomWindows(random, 3)
      const { late } = schedule(windows)
      const least = windows.map(() => Number.POSITIVE_INFINITY)
      for (const starts of everySchedule(windows, 24)) {
        starts.forEach((start, i) => {
          least[i] = Math.min(least[i]!, Math.max(0, start - windows[i]!.latest))
        })
      }
      expect(late).toEqual(least)
    }
  })

  it('gives the best whole schedule when asked for whole starts', () => {
    const random = seededRandom(8)
    for (let round = 0; round < 100; round++) {
      const windows = randomWindows(random, 3)
      const { starts, soonest } = schedule(windows, { whole: true })
      expect(starts.every(Number.isInteger)).toBe(true)
      let best = Number.POSITIVE_INFINITY
      for (const other of everySchedule(windows, 24)) {
        const bounded = other.every((start, i) => start <= Math.max(windows[i]!.latest, soonest[i]!))
        if (bounded) best = Math.min(best, cost(windows, other))
      }
      expect(cost(windows, starts)).toBeCloseTo(best, 9)
    }
  })

  it('moves two wishes apart by the same amount', () => {
    expect(schedule([window(4, 0, 20, 8), window(2, 0, 20, 10)]).starts).toEqual([7, 11])
  })

  it('says how much later a call could start with nobody later for it', () => {
    expect(schedule([window(2, 0, 10, 5), window(2, 0, 11, 9)]).slackEff).toEqual([4, 2])
  })

  it('has nothing to say about no calls', () => expect(schedule([]).starts).toEqual([]))

  it('refuses a call without length, naming it', () => {
    expect(() => schedule([window(0, 0, 1, 1)])).toThrow(
      new RangeError('schedule: length of call 0 must be > 0, got 0'),
    )
  })

  it('refuses a start that is no number', () => {
    expect(() => schedule([window(1, Number.NaN, 1, 1)])).toThrow(/earliest of call 0 must be finite, got NaN/)
  })
})

describe('findCrunches', () => {
  it('is over by just the worst lateness of the schedule in each run, and there is no lateness outside', () => {
    const random = seededRandom(21)
    for (let round = 0; round < 400; round++) {
      const windows = randomWindows(random, 10)
      const { late } = schedule(windows)
      const crunches = findCrunches(windows)
      const inside = new Set<number>()
      for (const { first, last, over } of crunches) {
        expect(over).toBeCloseTo(Math.max(...late.slice(first, last + 1)), 9)
        for (let i = first; i <= last; i++) inside.add(i)
      }
      late.forEach((one, i) => {
        if (one > 0) expect(inside.has(i)).toBe(true)
      })
    }
  })

  it('finds a rate at which each run just fits, its breaths not shrinking', () => {
    const random = seededRandom(31)
    let tried = 0
    for (let round = 0; round < 400; round++) {
      const windows = randomWindows(random, 8).map((one) => ({
        ...one,
        length: one.length + 0.5,
        gap: 0.5,
        terms: [{ end: one.length, deadline: one.latest + one.length }],
      }))
      for (const { first, last, rate } of findCrunches(windows)) {
        if (rate === null) continue
        tried++
        const at = (r: number) => windows.slice(first, last + 1).map((one) => spedUp(one, r))
        expect(findCrunches(at(rate * (1 + 1e-9)))).toEqual([])
        expect(findCrunches(at(rate * (1 - 1e-6)), 1e-12)).not.toEqual([])
      }
    }
    expect(tried).toBeGreaterThan(100)
  })

  it('says that no rate helps a deadline before its earliest start', () => {
    expect(findCrunches([{ ...window(2, 10, 9, 9), terms: [{ end: 0.5, deadline: 9.5 }] }])[0]!.rate).toBeNull()
  })
})

function spedUp(one: CallWindow, rate: number): CallWindow {
  const gap = one.gap ?? 0
  const latest = Math.min(...one.terms!.map((term) => term.deadline - term.end / rate))
  return { ...one, length: gap + (one.length - gap) / rate, latest }
}

/** Every schedule in whole units whose starts lie less than `span` after the earliest one could. */
function* everySchedule(windows: readonly CallWindow[], span: number, starts: number[] = []): Generator<number[]> {
  const i = starts.length
  const next = windows[i]
  if (!next) {
    yield starts
    return
  }
  const free = i === 0 ? Number.NEGATIVE_INFINITY : starts[i - 1]! + windows[i - 1]!.length
  const from = Math.max(next.earliest, free)
  for (let start = from; start < windows[0]!.earliest + span; start++)
    yield* everySchedule(windows, span, [...starts, start])
}
