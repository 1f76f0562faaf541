import { describe, expect, it } from 'vitest'
import { CARS, findCar } from '../../../server/speed/cars.ts'
import { profileOf, solveProfile } from '../../../server/speed/solveProfile.ts'
import { findSurface } from '../../../server/speed/surfaces.ts'
import { pointForces } from '../../../server/speed/tyreForces.ts'
import { GRAVITY } from '../../../server/units.ts'
import { syntheticStage } from '../../syntheticStage.ts'
import { flatRoad } from './flatRoad.ts'

const gravel = findSurface('gravel')
const car = findCar('four-wheel-drive')
const point = pointForces({ drive: 5, tyre: 9, topSpeed: 60 })

describe('solveProfile', () => {
  it('is faster at every station when more of the grip and power is used', () => {
    const { cells } = syntheticStage(30, 1)
    let slower = solveProfile({ cells, car, surface: gravel, commitment: 0.1 }).speed
    for (let c = 0.15; c <= 1; c += 0.05) {
      const { speed } = solveProfile({ cells, car, surface: gravel, commitment: c })
      expect(speed.every((v, i) => v >= slower[i]! - 1e-9)).toBe(true)
      slower = speed
    }
  })

  it('never passes the road’s limit, nor a speed that cannot be braked from', () => {
    const { cells } = syntheticStage(30, 2)
    const profile = solveProfile({ cells, car, surface: gravel, commitment: 0.85 })
    profile.speed.forEach((v, i) => {
      expect(v * v).toBeLessThanOrEqual(profile.brakingSquared[i]! * (1 + 1e-12))
      expect(profile.brakingSquared[i]!).toBeLessThanOrEqual(profile.limitSquared[i]!)
    })
  })

  it('keeps the whole circle of grip within its radius, cell by cell', () => {
    const profile = profileOf(
      flatRoad(600, [
        [200, 260, 60],
        [275, 305, 20],
      ]),
      point,
      { entry: 10, line: 1 },
    )
    const cells = flatRoad(600, [
      [200, 260, 60],
      [275, 305, 20],
    ])
    for (let i = 0; i < 600; i++) {
      const along = (profile.speed[i + 1]! ** 2 - profile.speed[i]! ** 2) / 2
      const far = along > 0 ? profile.speed[i + 1]! : profile.speed[i]!
      expect(Math.hypot(along, cells.curvature[i]! * far * far)).toBeLessThanOrEqual(9 * (1 + 1e-9))
    }
  })

  it('starts from rest and still gets away uphill', () => {
    const cells = { ...flatRoad(300), slope: new Float64Array(300).fill(0.1) }
    const profile = solveProfile({ cells, car: CARS[0]!, surface: findSurface('ice'), commitment: 0.2 })
    expect(profile.speed[0]).toBe(0)
    expect(profile.speed[300]!).toBeGreaterThan(1)
  })

  it('takes time² ∝ 1/c where neither top speed nor resistance matters', () => {
    const bends = [
      [100, 160, 40],
      [300, 340, 25],
    ] as const
    const free = { ...car, dragArea: 0, topSpeed: 1000 }
    const ideal = { ...gravel, rolling: 0 }
    const time = (commitment: number) =>
      solveProfile({ cells: flatRoad(500, bends), car: free, surface: ideal, commitment }).duration
    expect(time(0.8) / time(0.4)).toBeCloseTo(Math.SQRT1_2, 3)
  })

  it('slows for a crest by its radius, and not for a called jump', () => {
    const crest = { ...flatRoad(400), vertical: new Float64Array(400).fill(-1 / 40, 200, 210) }
    const limit = solveProfile({ cells: crest, car, surface: gravel, commitment: 1 }).limitSquared
    expect(limit[205]).toBeCloseTo(GRAVITY * 40, 9)
    expect(limit[100]).toBe(car.topSpeed ** 2)
  })

  it('brakes harder than its share on a descent, so that slower targets stay safe', () => {
    const down = { ...flatRoad(400, [[350, 360, 10]]), slope: new Float64Array(400).fill(-0.1) }
    const { brakingSquared } = solveProfile({ cells: down, car, surface: gravel, commitment: 0.2 })
    // Used grip 0.2 · 0.6 G; gravity 0.1 G is held besides: what is left is about the flat's braking.
    const net = (brakingSquared[300]! - brakingSquared[340]!) / 80
    expect(net).toBeGreaterThan(0.2 * 0.6 * GRAVITY)
  })

  it('opens bends by the line taken', () => {
    const at = (line: number) =>
      profileOf(flatRoad(300, [[100, 200, 50]]), point, { entry: 10, line }).limitSquared[150]!
    expect(at(1.3) / at(1)).toBeCloseTo(1.3, 9)
  })

  it('refuses a commitment of nothing', () => {
    expect(() => solveProfile({ cells: flatRoad(10), car, surface: gravel, commitment: 0 })).toThrow(
      /commitment must be > 0, got 0/,
    )
  })

  it('refuses cells of unequal length', () => {
    expect(() => profileOf({ ...flatRoad(10), slope: new Float64Array(9) }, point, {})).toThrow(/one length/)
  })
})
