import { describe, expect, it } from 'vitest'
import { LOG_BLUR, shownDensity, shownLnRadius, shownSpread } from '../../../server/placement/shownRadius.ts'

const ln = Math.log

describe('a corner as a log shows it', () => {
  it('is as it is where nothing is flattened', () => {
    expect(shownLnRadius(ln(17), 0.6, 0)).toBe(ln(17))
    expect(shownSpread(ln(17), 0.6, 0)).toBe(0)
  })
  it('reads wider the shorter and tighter it is', () => {
    const excess = (radius: number, angle: number) => shownLnRadius(ln(radius), angle, LOG_BLUR) - ln(radius)
    expect(excess(17, 0.6)).toBeGreaterThan(excess(17, 0.9))
    expect(excess(17, 0.6)).toBeGreaterThan(excess(30, 0.6))
    expect(excess(150, 0.6)).toBeLessThan(0.001)
  })
  it('is less surely known the shorter and tighter it is', () => {
    expect(shownSpread(ln(17), 0.6, LOG_BLUR)).toBeGreaterThan(2 * shownSpread(ln(60), 0.6, LOG_BLUR))
  })
  it('may read anything up to the length of the smoothing, seldom but not never', () => {
    const density = (shown: number) => shownDensity(ln(shown), ln(15), 0.2, 0.7, LOG_BLUR)
    expect(density(50)).toBeGreaterThan(0.01)
    expect(density(50)).toBeLessThan(density(22))
    expect(density(150)).toBeLessThan(1e-3)
  })
  it('has a density that sums to 1, within a twentieth', () => {
    for (const angle of [0.5, 0.8, 1.5]) {
      let sum = 0
      for (let x = 0; x < 8; x += 0.01) sum += 0.01 * shownDensity(x, ln(20), 0.2, angle, LOG_BLUR)
      expect(Math.abs(sum - 1)).toBeLessThan(0.05)
    }
  })
})
