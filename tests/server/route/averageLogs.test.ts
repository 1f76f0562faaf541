import { describe, expect, it } from 'vitest'
import { averageLogs } from '../../../server/route/averageLogs.ts'
import { buildRoute } from '../../../server/route/buildRoute.ts'
import { fromPlane } from '../../../server/route/localPlane.ts'
import type { RouteDraft } from '../../../server/route/route.ts'
import { draftOf } from '../../logDraft.ts'
import { median, scoreRoad } from '../../roadScore.ts'
import { logOf, syntheticRoad } from '../../syntheticRoad.ts'

const road = syntheticRoad(2, { length: 4000 })
const drive = (seed: number, noise = 0.5) => draftOf(logOf(road, seed, { noise, bias: 3 }))
const three = [drive(11), drive(12), drive(13)]
const radiusError = (draft: RouteDraft) =>
  median(scoreRoad(road, buildRoute(draft)).corners.map((one) => one.radiusError))
const backward = (draft: RouteDraft): RouteDraft => ({
  ...draft,
  northing: draft.northing.toReversed(),
  easting: draft.easting.toReversed(),
  height: draft.height.toReversed(),
})
const part = (draft: RouteDraft, from: number, to: number): RouteDraft => ({
  ...draft,
  northing: draft.northing.slice(from, to),
  easting: draft.easting.slice(from, to),
  height: draft.height.slice(from, to),
  time: draft.time.slice(from, to),
})

describe('three logs of one road averaged', () => {
  it('give a road nearer the true one than one log does', () => {
    expect(radiusError(averageLogs(three))).toBeLessThan(0.85 * median(three.map(radiusError)))
  })

  it('need not all be driven the same way', () => {
    const mixed = averageLogs([three[0]!, backward(three[1]!), three[2]!])
    expect(mixed.losses['logs driven the other way, turned round']).toBe(1)
    expect(radiusError(mixed)).toBeLessThan(0.9 * median(three.map(radiusError)))
  })

  it('run the way the first was driven, whichever of them the others are laid along', () => {
    const [one, other] = [three[0]!, three[1]!]
    for (const drives of [
      [one, backward(other)],
      [backward(other), one],
      [backward(one), other],
      [other, backward(one)],
    ]) {
      const { easting, northing } = averageLogs(drives)
      const first = drives[0]!
      expect(Math.hypot(easting[0]! - first.easting[0]!, northing[0]! - first.northing[0]!)).toBeLessThan(50)
    }
  })

  it('may begin late and end early', () => {
    const n = three[1]!.northing.length
    const built = buildRoute(averageLogs([three[0]!, part(three[1]!, 40, n - 60), three[2]!]))
    expect(Math.abs(built.length - road.length)).toBeLessThan(20)
  })

  it('say how many they were', () => {
    expect(averageLogs(three).losses['logs averaged into one']).toBe(3)
  })

  it('may be in degrees', () => {
    const about = { latitude: 46.5, longitude: 7.2 }
    const onEarth = three.map((draft): RouteDraft => {
      const places = draft.easting.map((x, i) => fromPlane(about, x, draft.northing[i]!))
      return {
        ...draft,
        frame: 'geographic',
        northing: places.map((one) => one.latitude),
        easting: places.map((one) => one.longitude),
      }
    })
    const built = buildRoute(averageLogs(onEarth))
    expect(built.length).toBeCloseTo(buildRoute(averageLogs(three)).length, -1)
  })

  it('have their heights levelled: barometers 40 m apart make no steps', () => {
    const high = three.map((draft, k) => ({ ...draft, height: draft.height.map(() => 300 + 40 * k) }))
    const heights = averageLogs(high).height.map((z) => Math.round(z!))
    expect(new Set(heights)).toEqual(new Set([340]))
  })

  it('may be drawn lines without a clock', () => {
    const drawn = three.map((draft) => ({ ...draft, time: draft.time.map(() => null) }))
    const built = buildRoute(averageLogs(drawn))
    expect(Math.abs(built.length / road.length - 1)).toBeLessThan(0.005)
  })
})

describe('logs that cannot be averaged', () => {
  it('are those of another road', () => {
    const other = draftOf(logOf(syntheticRoad(9, { length: 4000 }), 9, { noise: 0.3, bias: 3 }))
    expect(() => averageLogs([three[0]!, { ...other, name: 'other' }])).toThrow(/average logs of one road only/)
  })

  it('are one alone', () => {
    expect(() => averageLogs([three[0]!])).toThrow(/needs two logs of one road at least; 1 given/)
  })

  it('are in two frames', () => {
    expect(() => averageLogs([three[0]!, { ...three[1]!, frame: 'geographic' }])).toThrow(/give all in the same/)
  })
})
