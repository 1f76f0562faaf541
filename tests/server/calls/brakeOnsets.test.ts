import { describe, expect, it } from 'vitest'
import { brakeOnsets } from '../../../server/calls/brakeOnsets.ts'
import { profileOf } from '../../../server/speed/solveProfile.ts'
import { stationAt } from '../../../server/speed/stageTime.ts'
import { pointForces } from '../../../server/speed/tyreForces.ts'
import { flatRoad } from '../speed/flatRoad.ts'

const point = pointForces({ drive: 5, tyre: 9, topSpeed: 60 })
const run = (length: number, bends: readonly (readonly [number, number, number])[]) =>
  profileOf(flatRoad(length, bends), point, { entry: 10, line: 1 })

describe('brakeOnsets', () => {
  it('finds where braking begins: 141.071429 m on the closed-form road of tests/reference/speedProfile.test.ts', () => {
    const profile = run(500, [[200, 260, 50]])
    expect(stationAt(profile, brakeOnsets(profile, [{ from: 200, to: 260 }])[0]!)).toBeCloseTo(141.071429, 1)
  })

  it('finds none for a bend the car is too slow to brake for', () => {
    expect(brakeOnsets(run(500, [[200, 240, 400]]), [{ from: 200, to: 240 }])).toEqual([null])
  })

  it('shares one onset between a bend and the slower one braked for through it', () => {
    const profile = run(600, [
      [160, 190, 400],
      [200, 230, 20],
    ])
    const [first, second] = brakeOnsets(profile, [
      { from: 160, to: 190 },
      { from: 200, to: 230 },
    ])
    expect(first).not.toBeNull()
    expect(first).toBe(second)
  })

  it('does not depend on the order parts are given in', () => {
    const profile = run(700, [
      [200, 260, 60],
      [400, 430, 20],
    ])
    const parts = [
      { from: 200, to: 260 },
      { from: 400, to: 430 },
    ]
    expect(brakeOnsets(profile, parts)).toEqual(brakeOnsets(profile, [...parts].reverse()).reverse())
  })

  it('looks through a kink that no call names', () => {
    const profile = run(500, [
      [180, 184, 40],
      [200, 260, 50],
    ])
    expect(brakeOnsets(profile, [{ from: 200, to: 260 }])[0]).not.toBeNull()
  })

  it('brakes for the crest that belongs to a part, before it', () => {
    const cells = flatRoad(500)
    cells.vertical.fill(-1 / 40, 300, 305)
    const profile = profileOf(cells, point, { entry: 10, line: 1 })
    const part = { from: 330, to: 340 }
    expect(brakeOnsets(profile, [part])).toEqual([null])
    const [onset] = brakeOnsets(profile, [{ ...part, reach: { from: 290, to: 315 } }])
    expect(stationAt(profile, onset!)).toBeLessThan(300)
  })
})
