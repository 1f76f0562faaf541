import { describe, expect, it } from 'vitest'
import { replan, replanFresh } from '../../../server/calls/replan.ts'
import { schedule, soonestStarts } from '../../../server/calls/schedule.ts'
import { seededRandom } from '../../seededRandom.ts'
import { randomWindows } from './randomWindows.ts'

describe('replan', () => {
  it('is never later for any call than must be, whenever the voice becomes free', () => {
    const random = seededRandom(3)
    for (let round = 0; round < 500; round++) {
      const windows = randomWindows(random, 8)
      const next = Math.floor(random() * 8)
      const { starts } = schedule(windows)
      const now = starts[next]! + Math.floor(random() * 12) - 6
      const rest = windows.slice(next)
      const late = (all: readonly number[]) => all.map((start, i) => Math.max(0, start - rest[i]!.latest))
      const least = late(soonestStarts(rest, now))
      late(replan(windows, starts, next, now)).forEach((one, i) => {
        expect(one).toBeCloseTo(least[i]!, 9)
      })
    }
  })

  it('keeps the plan for a reader on time', () => {
    const windows = [0, 1, 2].map((i) => ({
      length: 2,
      earliest: 5 * i,
      latest: 5 * i + 4,
      preferred: 5 * i + 2,
      weight: 1,
    }))
    const { starts } = schedule(windows)
    expect(replan(windows, starts, 1, starts[0]! + 2)).toEqual(starts.slice(1))
  })

  it('is the fresh least-squares plan when the reader is late and nothing was late before', () => {
    const random = seededRandom(9)
    for (let round = 0; round < 300; round++) {
      const windows = randomWindows(random, 6)
      const { starts, late } = schedule(windows)
      if (late.some((one) => one > 0)) continue
      const now = starts[2]! + windows[2]!.length + Math.floor(random() * 3)
      const pushed = replan(windows, starts, 3, now)
      replanFresh(windows, 3, now).forEach((start, i) => {
        expect(pushed[i]).toBeCloseTo(start, 9)
      })
    }
  })

  it('refuses a call that is not there', () => expect(() => replan([], [], 1, 0)).toThrow(RangeError))
})
