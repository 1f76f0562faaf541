import { vectorRandomWalk } from '../numeric/vectorRandomWalk.ts'
import type { Metres } from '../units.ts'
import type { Fixes } from './fixes.ts'
import { pointAt, type RibbonLine } from './ribbon.ts'

/** A log laid along a road others were logged on too. */
export interface AlignedLog {
  readonly fixes: Fixes
  /** Driven against the way of the log the others are laid along. */
  readonly turned: boolean
  /** σ of one fix. */
  readonly noise: Metres
  /** Station of each fix on the common road, NaN where it is away from it; ascending. */
  station: Float64Array
  /** How far the receiver was off the common road, at even nodes WANDER_NODE apart. */
  wander: { x: Float64Array; y: Float64Array }
}

const WANDER_NODE: Metres = 10
/** Wander of a receiver, m² a metre driven: steps of 0.42 m a fix of 12 m (the made logs of docs/method/route.md). */
const WANDER = 0.015
/** Fixes farther off the common road are of another one. */
const AWAY: Metres = 25
/** A fix is looked for this far from where the last round laid it. */
const WINDOW: Metres = 15
const ROUNDS = 2
/** Student weights, ν = 4: heavy tails pull less. */
const FREEDOM = 4

export const noWander = (): AlignedLog['wander'] => ({ x: new Float64Array(2), y: new Float64Array(2) })

/** The wander at a station, straight between nodes. */
export function wanderAt(wander: AlignedLog['wander'], station: Metres): { x: Metres; y: Metres } {
  const at = station / WANDER_NODE
  const j = Math.max(0, Math.min(wander.x.length - 2, Math.floor(at)))
  const part = Math.max(0, Math.min(1, at - j))
  return {
    x: wander.x[j]! + part * (wander.x[j + 1]! - wander.x[j]!),
    y: wander.y[j]! + part * (wander.y[j + 1]! - wander.y[j]!),
  }
}

/** Lays a log's fixes on the road anew and finds its wander as a random walk seen across the road (vectorRandomWalk), by turns. */
export function findWander(log: AlignedLog, road: RibbonLine): void {
  const n = log.fixes.x.length
  const nodes = Math.ceil((road.x.length - 1) / WANDER_NODE) + 1
  const data = {
    at: new Float64Array(n),
    normalX: new Float64Array(n),
    normalY: new Float64Array(n),
    value: new Float64Array(n),
    weight: new Float64Array(n),
  }
  const certain = 1 / log.noise ** 2
  for (let round = 0; round < ROUNDS; round++) {
    let last = 0
    for (let i = 0; i < n; i++) {
      data.weight[i] = 0
      const guess = log.station[i]!
      if (Number.isNaN(guess)) continue
      const off = wanderAt(log.wander, guess)
      const s = Math.max(last, nearestStation(road, log.fixes.x[i]! - off.x, log.fixes.y[i]! - off.y, guess))
      const point = pointAt(road, s)
      const dx = log.fixes.x[i]! - point.x
      const dy = log.fixes.y[i]! - point.y
      if (Math.hypot(dx, dy) > AWAY) {
        log.station[i] = Number.NaN
        continue
      }
      last = s
      log.station[i] = s
      data.at[i] = s / WANDER_NODE
      data.normalX[i] = -Math.sin(point.heading)
      data.normalY[i] = Math.cos(point.heading)
      data.value[i] = dx * data.normalX[i]! + dy * data.normalY[i]!
      const left = data.value[i]! - off.x * data.normalX[i]! - off.y * data.normalY[i]!
      data.weight[i] = round === 0 ? certain : (certain * (FREEDOM + 1)) / (FREEDOM + left * left * certain)
    }
    log.wander = vectorRandomWalk(nodes, data, 1 / (WANDER * WANDER_NODE))
  }
}

function nearestStation(road: RibbonLine, x: Metres, y: Metres, guess: Metres): Metres {
  const last = road.x.length - 1
  const from = Math.max(0, Math.min(last, Math.ceil(guess - WINDOW)))
  const to = Math.max(0, Math.min(last, Math.floor(guess + WINDOW)))
  let best = from
  let least = Number.POSITIVE_INFINITY
  for (let j = from; j <= to; j++) {
    const square = (x - road.x[j]!) ** 2 + (y - road.y[j]!) ** 2
    if (square < least) {
      least = square
      best = j
    }
  }
  const c = Math.cos(road.heading[best]!)
  const s = Math.sin(road.heading[best]!)
  const along = (x - road.x[best]!) * c + (y - road.y[best]!) * s
  const across = (y - road.y[best]!) * c - (x - road.x[best]!) * s
  const ahead = along / Math.max(0.4, 1 - road.curvature[best]! * across)
  return Math.max(0, Math.min(last, best + Math.max(-1, Math.min(1, ahead))))
}
