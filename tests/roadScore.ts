import type { CornerFeature, Route } from '../server/route/route.ts'
import type { TrueCorner, TrueRoad } from './syntheticRoad.ts'

/** How far a built station may stand from the true one: wander of the log, both ways. */
const REACH = 45
/** The arc is looked at this far beyond its ends too. */
const MARGIN = 6
/** A found corner may lie this far outside the true one. */
const NEAR = 10

export interface CornerScore {
  readonly truth: TrueCorner
  /** |R found / R true − 1| with R from the mean of the sharpest metres, as many as the arc has, within the arc ± 6 m. */
  readonly radiusError: number
  readonly signedError: number
  readonly found: readonly CornerFeature[]
  /** Stations as they are, and with the log's own wander taken out. */
  readonly entryError: number | null
  readonly entryErrorHere: number | null
}

export interface RoadScore {
  readonly corners: readonly CornerScore[]
  readonly lengthError: number
  readonly found: number
  readonly right: number
  readonly changes: { true: number; found: number; wrongSense: number; false: number; plain: number }
}

/** A built road held against the road it was logged on. */
export function scoreRoad(road: TrueRoad, route: Route): RoadScore {
  const built = route.features.filter((one) => one.kind === 'corner')
  const claimed = new Set<CornerFeature>()
  const changes = { true: 0, found: 0, wrongSense: 0, false: 0, plain: 0 }
  let near = 0
  const corners = road.corners.map((truth): CornerScore => {
    const middle = (truth.arcFrom + truth.arcTo) / 2
    near = nearestStation(road, route, middle, middle + near) - middle
    const shift = near
    const inside = built.filter(
      (one) =>
        !claimed.has(one) &&
        one.side === truth.side &&
        (one.from + one.to) / 2 > truth.from + shift - NEAR &&
        (one.from + one.to) / 2 < truth.to + shift + NEAR,
    )
    for (const one of inside) claimed.add(one)
    if (truth.change) {
      changes.true++
      if (inside.length > 1) {
        const sense = inside.at(-1)!.radius < inside[0]!.radius
        if (sense === truth.change.radius < truth.radius) changes.found++
        else changes.wrongSense++
      }
    } else {
      changes.plain++
      if (inside.length > 1) changes.false++
    }
    const signed = truth.change ? Number.NaN : topRadius(route, truth, shift) / truth.radius - 1
    const entry = inside[0]?.from ?? null
    return {
      truth,
      radiusError: Math.abs(signed),
      signedError: signed,
      found: inside,
      entryError: entry === null ? null : entry - truth.from,
      entryErrorHere: entry === null ? null : entry - truth.from - shift,
    }
  })
  const matched = corners.reduce((sum, one) => sum + Math.min(one.found.length, one.truth.change ? 2 : 1), 0)
  return { corners, lengthError: route.length / road.length - 1, found: built.length, right: matched, changes }
}

function nearestStation(road: TrueRoad, route: Route, station: number, guess: number): number {
  const i = Math.round(station / road.step)
  let best = guess
  let least = Number.POSITIVE_INFINITY
  for (let m = Math.max(0, Math.round(guess) - REACH); m <= Math.min(route.x.length - 1, guess + REACH); m++) {
    const d = Math.hypot(route.x[m]! - road.x[i]!, route.y[m]! - road.y[i]!)
    if (d < least) {
      least = d
      best = m
    }
  }
  return best
}

function topRadius(route: Route, truth: TrueCorner, shift: number): number {
  const from = Math.max(0, Math.round(truth.arcFrom + shift - MARGIN))
  const to = Math.min(route.curvature.length, Math.round(truth.arcTo + shift + MARGIN))
  const sign = truth.side === 'left' ? 1 : -1
  const values = [...route.curvature.subarray(from, to)].map((k) => k * sign).sort((a, b) => b - a)
  const n = Math.max(3, Math.round(truth.arcTo - truth.arcFrom))
  return n / values.slice(0, n).reduce((sum, k) => sum + k, 0)
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted.length === 0 ? Number.NaN : (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2
}

export function share(values: readonly number[], part: number): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))] ?? Number.NaN
}
