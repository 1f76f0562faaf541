import { describe, expect, it } from 'vitest'
import { firstLateSpeed, solveCeiling } from '../../../server/calls/ceilingSearch.ts'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { planCalls } from '../../../server/calls/planCalls.ts'
import { findCar } from '../../../server/speed/cars.ts'
import { solveTarget } from '../../../server/speed/solveTarget.ts'
import { findSurface } from '../../../server/speed/surfaces.ts'
import { fromKmh, type MetresPerSecond } from '../../../server/units.ts'
import { syntheticStage } from '../../syntheticStage.ts'

const car = findCar('four-wheel-drive')
const surface = findSurface('gravel')
const settings = DEFAULT_CALL_SETTINGS

/** Lateness of the whole chain at a target, the way a person would ask for it. */
function latenessAt(stage: ReturnType<typeof syntheticStage>, speed: MetresPerSecond): number[] {
  const profile = solveTarget(stage.cells, car, surface, { kind: 'average', speed })
  return planCalls({ ...stage, profile, settings }).calls.map((call) => call.late)
}

describe('solveCeiling', () => {
  for (const seed of [1, 2, 3]) {
    it(`is the speed just below which nothing is late and just above which something is (seed ${seed})`, () => {
      const stage = syntheticStage(60, seed, { word: 0.42 })
      const { ceiling, outcome } = solveCeiling({ ...stage, settings, car, surface, commitment: 0.85 })
      expect(outcome).toBe('found')
      expect(Math.max(...latenessAt(stage, ceiling!.averageSpeed - fromKmh(0.01)))).toBe(0)
      expect(Math.max(...latenessAt(stage, ceiling!.averageSpeed + fromKmh(0.02)))).toBeGreaterThan(0)
    })
  }

  it('does not depend on the speed it begins at', () => {
    const stage = syntheticStage(60, 2, { word: 0.42 })
    const found = [0.2, 0.5, 1].map(
      (commitment) => solveCeiling({ ...stage, settings, car, surface, commitment }).ceiling!.averageSpeed,
    )
    for (const speed of found) expect(Math.abs(speed - found[0]!)).toBeLessThan(fromKmh(0.02))
  })

  it('finds none for one short call on an open road', () => {
    const stage = syntheticStage(1, 1, { word: 0.1 })
    expect(solveCeiling({ ...stage, settings, car, surface, commitment: 0.85 })).toMatchObject({
      outcome: 'never late',
      ceiling: null,
    })
  })

  it('says so when a call is late at any speed', () => {
    const stage = syntheticStage(3, 1)
    const durations = stage.durations.map((one) => ({ duration: 1000, elementEnds: one.elementEnds.map(() => 1000) }))
    expect(solveCeiling({ ...stage, durations, settings, car, surface, commitment: 0.85 }).outcome).toBe('always late')
  })

  it('tells the fastest the car can go, so that a ceiling beyond it can be marked', () => {
    const stage = syntheticStage(20, 1)
    const { fastest } = solveCeiling({ ...stage, settings, car, surface, commitment: 0.85 })
    expect(fastest).toBe(solveTarget(stage.cells, car, surface, { kind: 'commitment', commitment: 1 }).averageSpeed)
  })
})

describe('firstLateSpeed', () => {
  it('reports a late speed below a ceiling set too high', () => {
    const stage = syntheticStage(60, 1, { word: 0.42 })
    const q = { ...stage, settings, car, surface, commitment: 0.85 }
    const { ceiling } = solveCeiling(q)
    const found = firstLateSpeed(q, { ...ceiling!, averageSpeed: ceiling!.averageSpeed * 1.1 })
    expect(found!.averageSpeed).toBeGreaterThan(ceiling!.averageSpeed)
    expect(found!.averageSpeed).toBeLessThan(ceiling!.averageSpeed * 1.03)
  })
})
