import { describe, expect, it } from 'vitest'
import { callCeilings, type ScalingCall, scaledCeiling } from '../../../server/calls/ceilings.ts'
import { seededRandom } from '../../seededRandom.ts'

/** Does it fit when all speeds are k times as high? By trying. */
function fitsAt(calls: readonly ScalingCall[], k: number): boolean {
  let free = Number.NEGATIVE_INFINITY
  return calls.every(({ length, early, late }) => {
    const start = Math.max(free, ...early.map(({ a, alpha }) => a / k - alpha))
    free = start + length
    return late.every(({ T, rho }) => start <= T / k - rho + 1e-9)
  })
}

function randomCalls(random: () => number, n: number): ScalingCall[] {
  let at = 0
  return Array.from({ length: n }, () => {
    at += 1 + 4 * random()
    return {
      length: 0.5 + 2.5 * random(),
      early: [
        { a: 0, alpha: 10 },
        { a: at, alpha: 8 },
      ],
      late: [
        { T: at, rho: 0.75 + random() },
        { T: at + random(), rho: 1 + random() },
      ],
    }
  })
}

describe('scaledCeiling', () => {
  it('fits just below the ceiling and not just above, by trial', () => {
    const random = seededRandom(17)
    for (let round = 0; round < 300; round++) {
      const calls = randomCalls(random, 12)
      const { kMax, fits } = scaledCeiling(calls)
      expect(fits).toBe(true)
      expect(fitsAt(calls, kMax * (1 - 1e-6))).toBe(true)
      expect(fitsAt(calls, kMax * (1 + 1e-6))).toBe(false)
    }
  })

  it('is the least of the ceilings of each call', () => {
    const random = seededRandom(18)
    for (let round = 0; round < 300; round++) {
      const calls = randomCalls(random, 12)
      const least = Math.min(...callCeilings(calls).map((k) => k ?? Number.POSITIVE_INFINITY))
      expect(least / scaledCeiling(calls).kMax).toBeCloseTo(1, 8)
    }
  })

  it('has no ceiling where nothing is said', () => expect(scaledCeiling([]).kMax).toBe(Number.POSITIVE_INFINITY))

  it('finds no speed for a call whose deadline comes before it may start', () => {
    const call = { length: 1, early: [{ a: 10, alpha: 0 }], late: [{ T: 10, rho: 1 }] }
    expect(scaledCeiling([call]).fits).toBe(false)
  })
})
