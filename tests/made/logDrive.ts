import type { RouteDraft } from '../../server/route/route.ts'
import type { Metres } from '../../server/units.ts'
import { seededNormal } from '../seededRandom.ts'
import { crestHeight, type MadeCrest, type MadeRoad } from './layRoad.ts'

/** Recce as every made log drives it: v = min(15, √(2.5 R)) m/s, one fix a second, white noise on a bias with memory 0.99 a fix. */
const FASTEST = 15
const LATERAL = 2.5
const MEMORY = 0.99

export interface Receiver {
  readonly white: Metres
  readonly bias: Metres
  /** Heights: a barometer's, white and drifting (docs/method/route.md). */
  readonly heightWhite: Metres
  readonly heightDrift: Metres
}

export const TELEPHONE: Receiver = { white: 0.3, bias: 3, heightWhite: 0.1, heightDrift: 0.3 }

/** A drive along the road as a receiver logs it, on a plane. Crests are only those the heights hold. */
export function logDrive(
  road: MadeRoad,
  crests: readonly MadeCrest[],
  random: () => number,
  receiver: Receiver = TELEPHONE,
): RouteDraft {
  const normal = () => seededNormal(random)
  const drift = [receiver.bias * normal(), receiver.bias * normal(), receiver.heightDrift * normal()]
  const size = [receiver.bias, receiver.bias, receiver.heightDrift]
  const step = Math.sqrt(1 - MEMORY ** 2)
  const easting: number[] = []
  const northing: number[] = []
  const height: number[] = []
  const time: number[] = []
  let travelled = 0
  for (let second = 0; travelled <= road.length; second++) {
    const i = Math.min(road.x.length - 1, Math.round(travelled / road.step))
    const hills = 30 * Math.sin(travelled / 900) + 11 * Math.sin(travelled / 260)
    const bumps = crests.reduce((sum, crest) => sum + crestHeight(travelled - crest.at, crest), 0)
    easting.push(road.x[i]! + drift[0]! + receiver.white * normal())
    northing.push(road.y[i]! + drift[1]! + receiver.white * normal())
    height.push(100 + hills + bumps + drift[2]! + receiver.heightWhite * normal())
    time.push(second)
    const bend = Math.abs(road.curvature[Math.min(i, road.curvature.length - 1)]!)
    travelled += Math.min(FASTEST, Math.sqrt(LATERAL / Math.max(bend, 1e-4)))
    for (let a = 0; a < 3; a++) drift[a] = MEMORY * drift[a]! + size[a]! * step * normal()
  }
  return {
    name: 'made-up drive',
    format: 'gpx',
    frame: 'planar',
    northing,
    easting,
    height,
    time,
    breaks: [],
    losses: {},
  }
}

/** Station on a built road of a station of the true one: nearest point, looked for near the same share of the length. */
export function stationMap(
  road: MadeRoad,
  built: { readonly length: number; readonly x: Float64Array; readonly y: Float64Array },
): (station: Metres) => Metres {
  const reach = 40 + 0.004 * road.length
  return (station) => {
    const i = Math.min(road.x.length - 1, Math.max(0, Math.round(station / road.step)))
    const guess = (station / road.length) * built.length
    let best = guess
    let least = Number.POSITIVE_INFINITY
    for (let s = Math.max(0, Math.round(guess - reach)); s <= Math.min(built.length, guess + reach); s++) {
      const d = (built.x[s]! - road.x[i]!) ** 2 + (built.y[s]! - road.y[i]!) ** 2 + 0.02 * (s - guess) ** 2
      if (d < least) {
        least = d
        best = s
      }
    }
    return best
  }
}
