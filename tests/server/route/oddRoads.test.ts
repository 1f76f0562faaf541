import { describe, expect, it } from 'vitest'
import { assembleRoad } from '../../../server/route/assembleRoad.ts'
import { fromPlane } from '../../../server/route/localPlane.ts'
import { logOf, syntheticRoad } from '../../syntheticRoad.ts'

/** A made-up road's log as GPX, laid about a place. */
function gpx(
  log: { x: readonly number[]; y: readonly number[]; t: readonly (number | null)[] },
  latitude: number,
  longitude: number,
): Uint8Array {
  const points = log.x.map((x, i) => {
    const place = fromPlane({ latitude, longitude }, x, log.y[i]!)
    const time = log.t[i] === null ? '' : `<time>${new Date(log.t[i]! * 1000).toISOString()}</time>`
    return `<trkpt lat="${place.latitude}" lon="${place.longitude}">${time}</trkpt>`
  })
  return new TextEncoder().encode(`<gpx><trk><trkseg>${points.join('')}</trkseg></trk></gpx>`)
}
const roadOf = (bytes: Uint8Array) => assembleRoad([{ name: 'odd.gpx', bytes }], null).route
const truth = syntheticRoad(4, { length: 3000 })
const log = logOf(truth, 4, { noise: 0.3, bias: 0 })
const plain = roadOf(gpx(log, 47, 8))

it('is as long across the antimeridian as anywhere else', () => {
  expect(roadOf(gpx(log, 47, 179.995)).length).toBeCloseTo(plain.length, 0)
})

it('is as long beside the pole', () => {
  expect(roadOf(gpx(log, 89.99, 8)).length).toBeCloseTo(plain.length, 0)
})

describe('a standstill of half an hour in the middle', () => {
  const middle = log.x.length >> 1
  const standing = Array.from({ length: 1800 }, (_, i) => i)
  const stood = {
    // A receiver at rest wanders over a metre or two.
    x: [
      ...log.x.slice(0, middle),
      ...standing.map((i) => log.x[middle]! + 1.5 * Math.sin(i / 40)),
      ...log.x.slice(middle),
    ],
    y: [
      ...log.y.slice(0, middle),
      ...standing.map((i) => log.y[middle]! + 1.5 * Math.cos(i / 55)),
      ...log.y.slice(middle),
    ],
    t: [
      ...log.t.slice(0, middle),
      ...standing.map((i) => log.t[middle]! + i),
      ...log.t.slice(middle).map((t) => t! + 1800),
    ],
  }
  const route = roadOf(gpx(stood, 47, 8))
  it('adds nothing to the length', () => {
    expect(Math.abs(route.length - plain.length)).toBeLessThan(6)
  })

  it('is told, point by point', () => {
    const told = ['points of standing still', 'repeated points'].map((one) => route.losses[one] ?? 0)
    expect(told[0]).toBeGreaterThan(700)
    expect(told[0]! + told[1]!).toBeGreaterThan(1750)
  })
})

describe('a loop', () => {
  /** A circle of 300 m driven at 10 m/s for this many radians. */
  const circle = (radians: number) => {
    const around = Array.from({ length: Math.round(100 * radians) }, (_, i) => i / 100)
    return {
      x: around.map((a) => 300 * Math.cos(a)),
      y: around.map((a) => 300 * Math.sin(a)),
      t: around.map((a) => 30 * a),
    }
  }
  const AGAIN = 'metres of road driven a second time: choose start and finish'
  it('is closed, and nothing of it is driven twice', () => {
    const route = roadOf(gpx(circle(2 * Math.PI), 47, 8))
    expect([route.closed, route.losses[AGAIN]]).toEqual([true, undefined])
  })

  it('driven twice is told, with how much of it', () => {
    // 12 radians are 5.72 beyond the first lap: 1715 m.
    const again = roadOf(gpx(circle(12), 47, 8)).losses[AGAIN]!
    expect(again).toBeGreaterThan(1660)
    expect(again).toBeLessThan(1740)
  })
})

it('tells of points that are kilometres apart', () => {
  const far = { x: [0, 50, 100, 5100], y: [0, 0, 0, 0], t: [null, null, null, null] }
  expect(roadOf(gpx(far, 47, 8)).losses).toHaveProperty(
    'steps of more than 1 km from point to point, drawn straight',
    1,
  )
})

const degrees = (...latitudes: number[]) =>
  new TextEncoder().encode(`<gpx><rte>${latitudes.map((one) => `<rtept lat="${one}" lon="8"/>`).join('')}</rte></gpx>`)

it('breaks a line where it leaps to another part of the world, and tells', () => {
  const route = roadOf(degrees(47, 47.001, 47.002, -30))
  expect(route.length).toBe(222)
  expect(route.losses).toHaveProperty('lines broken where points lie more than 100 km apart', 1)
})

it('refuses a road across a continent, and says between which points it is widest', () => {
  const all = Array.from({ length: 26 }, (_, i) => i * 0.8 + (i > 12 ? 0.05 : 0))
  expect(() => roadOf(degrees(...all))).toThrow(/its points 13 and 14 lie 94 km apart/)
})
