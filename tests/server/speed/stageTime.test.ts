import { describe, expect, it } from 'vitest'
import { profileOf } from '../../../server/speed/solveProfile.ts'
import { speedAt, stationAt, timeAt } from '../../../server/speed/stageTime.ts'
import { pointForces } from '../../../server/speed/tyreForces.ts'
import { seededRandom } from '../../seededRandom.ts'
import { flatRoad } from './flatRoad.ts'

const profile = profileOf(flatRoad(500, [[200, 260, 50]]), pointForces({ drive: 5, tyre: 9, topSpeed: 60 }), {
  line: 1,
})

describe('lookups along a run', () => {
  it('finds the station back from its time', () => {
    const random = seededRandom(2)
    for (let i = 0; i < 500; i++) {
      const station = random() * 500
      expect(stationAt(profile, timeAt(profile, station))).toBeCloseTo(station, 6)
    }
  })

  it('never goes back in time', () => {
    let before = -1
    for (let s = 0; s <= 500; s += 0.1) {
      expect(timeAt(profile, s)).toBeGreaterThan(before)
      before = timeAt(profile, s)
    }
  })

  it('starts from rest as 5 m/s² does: 10 m in 2 s, at 10 m/s', () => {
    expect(timeAt(profile, 10)).toBeCloseTo(2, 9)
    expect(speedAt(profile, 10)).toBeCloseTo(10, 9)
  })

  it('accepts the finish, and clamps beyond it', () => {
    expect(timeAt(profile, 500)).toBe(profile.duration)
    expect(stationAt(profile, profile.duration + 1)).toBe(500)
    expect(stationAt(profile, -1)).toBe(0)
  })
})
