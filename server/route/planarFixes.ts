import type { Metres } from '../units.ts'
import type { Fixes } from './fixes.ts'
import { type PlaneOrigin, toPlane } from './localPlane.ts'
import type { RouteDraft } from './route.ts'

/** A clock sparser than this is no use for smoothing: the line is taken as drawn. */
const SPARSE_SECONDS = 3
const SPARSE_METRES: Metres = 40

/** The points of a draft on a plane about `about`, or, where none is given, about the draft's middle point. Its clock, from 0 s, only where every point has a time. */
export function planarFixes(draft: RouteDraft, about?: PlaneOrigin): { fixes: Fixes; origin: PlaneOrigin | null } {
  const times = draft.time.every((time) => time !== null) ? draft.time.map((time) => time! - draft.time[0]!) : null
  if (draft.frame === 'planar') {
    return { fixes: { x: [...draft.easting], y: [...draft.northing], z: [...draft.height], t: times }, origin: null }
  }
  const middle = draft.northing.length >> 1
  const origin = about ?? { latitude: draft.northing[middle]!, longitude: draft.easting[middle]! }
  const x: number[] = []
  const y: number[] = []
  draft.northing.forEach((latitude, i) => {
    const point = toPlane(origin, latitude, draft.easting[i]!)
    x.push(point.x)
    y.push(point.y)
  })
  return { fixes: { x, y, z: [...draft.height], t: times }, origin }
}

export function chordLength(fixes: Fixes): Metres {
  let length = 0
  for (let i = 1; i < fixes.x.length; i++)
    length += Math.hypot(fixes.x[i]! - fixes.x[i - 1]!, fixes.y[i]! - fixes.y[i - 1]!)
  return length
}

/** Whether fixes have a clock, but one too sparse to smooth by. */
export function isSparse(fixes: Fixes): boolean {
  const { t: times } = fixes
  if (times === null || times.length < 3) return false
  const gaps = times
    .slice(1)
    .map((t, i) => t - times[i]!)
    .sort((a, b) => a - b)
  const steps = fixes.x
    .slice(1)
    .map((x, i) => Math.hypot(x - fixes.x[i]!, fixes.y[i + 1]! - fixes.y[i]!))
    .sort((a, b) => a - b)
  return gaps[gaps.length >> 1]! > SPARSE_SECONDS || steps[steps.length >> 1]! > SPARSE_METRES
}
