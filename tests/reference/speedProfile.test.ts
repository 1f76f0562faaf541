import { describe, expect, it } from 'vitest'
import { profileOf } from '../../server/speed/solveProfile.ts'
import { timeAt } from '../../server/speed/stageTime.ts'
import { pointForces } from '../../server/speed/tyreForces.ts'

/**
 * A speed profile in closed form (derived): 500 m, curvature 1/50 on [200, 260), entry 10 m/s, drive 5, tyre 9 m/s² (circle), no drag:
 * corner 21.213203 m/s; braking from 141.071429 m; exit 53.385391 m/s; time 16.998080 s.
 */
const FIVE_HUNDREDTHS_PERCENT = 5e-4
const curvature = Float64Array.from({ length: 500 }, (_, i) => (i >= 200 && i < 260 ? 1 / 50 : 0))
const cells = { step: 1, curvature, slope: new Float64Array(500), vertical: new Float64Array(500) }
const profile = profileOf(cells, pointForces({ drive: 5, tyre: 9, topSpeed: 60 }), { entry: 10, line: 1 })
const relative = (value: number, expected: number) => Math.abs(value / expected - 1)

describe('the closed-form road', () => {
  it('is cornered at √(9 · 50) m/s', () =>
    expect(relative(profile.speed[230]!, 21.213203)).toBeLessThan(FIVE_HUNDREDTHS_PERCENT))
  it('is left at 53.385391 m/s', () =>
    expect(relative(profile.speed[500]!, 53.385391)).toBeLessThan(FIVE_HUNDREDTHS_PERCENT))
  it('takes 16.998080 s', () => expect(relative(profile.duration, 16.99808)).toBeLessThan(FIVE_HUNDREDTHS_PERCENT))
  it('reaches the corner when a lookup says so', () => expect(timeAt(profile, 200)).toBeCloseTo(profile.time[200]!, 9))
})
