import { describe, expect, it } from 'vitest'
import { findCar } from '../../../server/speed/cars.ts'
import { solveTarget, UnreachableTarget } from '../../../server/speed/solveTarget.ts'
import type { Target } from '../../../server/speed/speed.ts'
import { findSurface } from '../../../server/speed/surfaces.ts'
import { fromKmh, toKmh } from '../../../server/units.ts'
import { syntheticStage } from '../../syntheticStage.ts'

const { cells } = syntheticStage(60, 4)
const length = cells.curvature.length
const solve = (target: Target) => solveTarget(cells, findCar('four-wheel-drive'), findSurface('gravel'), target)
const unreachable = (target: Target): UnreachableTarget => {
  try {
    solve(target)
  } catch (error) {
    if (error instanceof UnreachableTarget) return error
    throw error
  }
  throw new Error('it was reached')
}

describe('solveTarget', () => {
  for (const kmh of [15, 30, 45, 60, 70]) {
    it(`meets an average of ${kmh} km/h to a millisecond of stage time`, () => {
      expect(Math.abs(solve({ kind: 'average', speed: fromKmh(kmh) }).duration - length / fromKmh(kmh))).toBeLessThan(
        1e-3,
      )
    })
  }

  it('meets a stage time', () => expect(solve({ kind: 'time', time: 250 }).duration).toBeCloseTo(250, 2))

  it('meets the fastest there is', () => {
    const { averageSpeed } = solve({ kind: 'commitment', commitment: 1 })
    expect(solve({ kind: 'average', speed: averageSpeed - 1e-6 }).commitment).toBeCloseTo(1, 3)
  })

  it('says what the car can do when asked for more, in numbers and in a sentence', () => {
    const fastest = solve({ kind: 'commitment', commitment: 1 })
    const error = unreachable({ kind: 'average', speed: fromKmh(200) })
    expect([error.asked, error.averageSpeed, error.time]).toEqual(['too fast', fastest.averageSpeed, fastest.duration])
    expect(error.message).toContain(`${toKmh(fastest.averageSpeed).toFixed(1)} km/h`)
    expect(error.message).toMatch(/200\.0 km\/h/)
  })

  it('says how slow the model goes when asked for less', () => {
    const error = unreachable({ kind: 'average', speed: 0.2 })
    expect(error.asked).toBe('too slow')
    expect(error.averageSpeed).toBe(solve({ kind: 'commitment', commitment: 0.02 }).averageSpeed)
  })

  it('refuses a target that is no speed', () => {
    expect(() => solve({ kind: 'average', speed: 0 })).toThrow(RangeError)
  })
})
