import { describe, expect, it } from 'vitest'
import { callWindows } from '../../server/calls/callWindows.ts'
import { DEFAULT_CALL_SETTINGS } from '../../server/calls/defaults.ts'
import { profileOf } from '../../server/speed/solveProfile.ts'
import { timeAt } from '../../server/speed/stageTime.ts'
import { findSurface } from '../../server/speed/surfaces.ts'
import { pointForces } from '../../server/speed/tyreForces.ts'
import {
  FOOT,
  fromKmh,
  fromMph,
  GRAVITY,
  type Metres,
  type MetresPerSecond,
  type MetresPerSecond2,
  toKmh,
} from '../../server/units.ts'

const STEP = 0.25
const ROAD = 420

/** Metres in which the solved braking curve comes to a stop from a speed: a bend nobody can take stands at the end of the road. */
function brakingRoad(from: MetresPerSecond, deceleration: MetresPerSecond2, grade = 0): Metres {
  const n = ROAD / STEP
  const curvature = new Float64Array(n)
  curvature[n - 1] = 1e4
  const slope = new Float64Array(n).fill(grade / Math.sqrt(1 + grade * grade))
  const cells = { step: STEP, curvature, slope, vertical: new Float64Array(n) }
  const { brakingSquared } = profileOf(cells, pointForces({ drive: 0, tyre: deceleration, topSpeed: 90 }), { line: 1 })
  const i = brakingSquared.findLastIndex((w) => w >= from * from)
  const x = (brakingSquared[i]! - from * from) / (brakingSquared[i]! - brakingSquared[i + 1]!)
  // The bend takes the last cell: the stop is where it begins.
  return (n - 1 - i - x) * STEP
}

/** Metres driven, at a steady speed, between a deadline and the moment of action that it is for. */
function thinkingRoad(speed: MetresPerSecond, reaction: number): Metres {
  const flat = () => new Float64Array(800)
  const cells = { step: 1, curvature: flat(), slope: flat(), vertical: flat() }
  const profile = profileOf(cells, pointForces({ drive: 5, tyre: 9, topSpeed: speed }), { entry: speed, line: 1 })
  const call = { from: 600, to: 620, parts: [{ from: 600, to: 620 }], duties: [{ by: 'call' } as const] }
  const said = { duration: 1, elementEnds: [1] }
  const [window] = callWindows([call], [said], profile, { ...DEFAULT_CALL_SETTINGS, reaction })
  const { actBy, deadline } = window!.elements[0]!
  return ((actBy! - deadline!) / timeAt(profile, 100)) * 100
}

const upToFives = (value: number) => Math.ceil(value / 5) * 5

/** AASHTO, A Policy on Geometric Design of Highways and Streets, Table 3-1 (read in a copy): 2.5 s and 11.2 ft/s² (3.4 m/s²), level, rounded up to fives. */
describe('stopping sight distance', () => {
  const feet = [80, 115, 155, 200, 250, 305, 360, 425, 495, 570, 645, 730, 820, 910]
  feet.forEach((expected, i) => {
    const mph = 15 + 5 * i
    it(`is ${expected} ft at ${mph} mph`, () => {
      const road = thinkingRoad(fromMph(mph), 2.5) + brakingRoad(fromMph(mph), 11.2 * FOOT)
      expect(upToFives(road / FOOT)).toBe(expected)
    })
  })

  // The metric table uses 0.039·V²/a for V²/(2·3.6²·a), 1.1 % more: at 90 and 110 km/h that decides the rounding.
  const PRINTED = 0.039 * 2 * 3.6 ** 2
  const metres = [20, 35, 50, 65, 85, 105, 130, 160, 185, 220, 250]
  metres.forEach((expected, i) => {
    const kmh = 20 + 10 * i
    it(`is ${expected} m at ${kmh} km/h`, () => {
      expect(upToFives(thinkingRoad(fromKmh(kmh), 2.5) + PRINTED * brakingRoad(fromKmh(kmh), 3.4))).toBe(expected)
    })
  })

  // State design guides reprinting the AASHTO formula (read in a copy).
  const grades = [
    { mph: 30, grade: -0.12, expected: 245 },
    { mph: 30, grade: 0.12, expected: 175 },
    { mph: 35, grade: 0.1, expected: 220 },
    { mph: 35, grade: -0.1, expected: 295 },
  ]
  for (const { mph, grade, expected } of grades) {
    it(`is ${expected} ft at ${mph} mph on a grade of ${grade * 100} %`, () => {
      const road = thinkingRoad(fromMph(mph), 2.5) + brakingRoad(fromMph(mph), 11.2 * FOOT, grade)
      expect(upToFives(road / FOOT)).toBe(expected)
    })
  }
})

/** UK Highway Code, Rule 126 (read in the original). It gives no formula: 0.67 s and 6.55 m/s² are what its figures share. */
describe('the Highway Code’s typical stopping distances', () => {
  const rows = [
    [20, 6, 6],
    [30, 9, 14],
    [40, 12, 24],
    [50, 15, 38],
    [60, 18, 55],
    [70, 21, 75],
  ] as const
  for (const [mph, thinking, braking] of rows) {
    it(`has ${thinking} m of thinking at ${mph} mph`, () =>
      expect(Math.round(thinkingRoad(fromMph(mph), 0.67))).toBe(thinking))
    it(`has ${braking} m of braking at ${mph} mph`, () =>
      expect(Math.round(brakingRoad(fromMph(mph), 6.55))).toBe(braking))
  }
})

/** Physics (derived): over a crest of radius R a car leaves the ground at v = √(gR). */
describe('lift-off over a crest', () => {
  const rows = [
    [50, 79.7],
    [100, 112.7],
    [200, 159.4],
    [400, 225.5],
  ] as const
  for (const [radius, kmh] of rows) {
    it(`is at ${kmh} km/h for a radius of ${radius} m`, () => {
      const flat = () => new Float64Array(10)
      const cells = { step: 1, curvature: flat(), slope: flat(), vertical: flat().fill(-1 / radius) }
      const { limitSquared } = profileOf(cells, pointForces({ drive: 5, tyre: GRAVITY, topSpeed: 99 }), { line: 1 })
      expect(toKmh(Math.sqrt(limitSquared[5]!))).toBeCloseTo(kmh, 1)
    })
  }
})

/** Noon, Engineering Analysis of Vehicular Accidents, 1994 (read in a copy): sources spread by a factor of two, so their order is checked. */
it('ranks surfaces by grip as Noon does: dry asphalt, wet asphalt, gravel, packed snow, ice', () => {
  const grip = ['tarmac', 'wet-tarmac', 'gravel', 'snow', 'ice'].map((id) => findSurface(id).grip)
  expect(grip).toEqual([...grip].sort((a, b) => b - a))
  expect(new Set(grip).size).toBe(5)
})

/** Green, How long does it take to stop?, Transportation Human Factors 2(3), 2000 (read in a copy): 0.70–0.75 s to an expected signal. */
it('reacts to a call as to an expected signal', () => {
  expect(DEFAULT_CALL_SETTINGS.reaction).toBeGreaterThanOrEqual(0.7)
  expect(DEFAULT_CALL_SETTINGS.reaction).toBeLessThanOrEqual(0.75)
})
