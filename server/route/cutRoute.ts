import type { Metres, Radians } from '../units.ts'
import { LEAST_TURN } from './findFeatures.ts'
import type { RoadFeature, Route } from './route.ts'

/** A stretch shorter than this is no stage. Steps. */
const FEWEST_STEPS = 10

/**
 * The stretch of a road between two stations, rounded to whole steps; its own stations begin at 0 again. 0 ≤ from < to; `to` beyond the end is the end.
 * Corners and crests that lie across a cut keep the part inside, with the turning and the radius that are left; parts that turn less than a corner are let go.
 * Throws RangeError when less than ten steps are left. The route is not changed.
 */
export function cutRoute(route: Route, from: Metres, to: Metres): Route {
  if (!(from >= 0)) throw new RangeError(`cutRoute: from must be >= 0, got ${from}`)
  const first = Math.round(from / route.step)
  const last = Math.min(route.x.length - 1, Math.round(to / route.step))
  if (!(last - first >= FEWEST_STEPS))
    throw new RangeError(`cutRoute: from ${from} to ${to} is no stretch of a road of ${route.length} m`)
  return {
    ...route,
    length: (last - first) * route.step,
    closed: route.closed && first === 0 && last === route.x.length - 1,
    x: route.x.slice(first, last + 1),
    y: route.y.slice(first, last + 1),
    z: route.z.slice(first, last + 1),
    heading: route.heading.slice(first, last + 1),
    curvature: route.curvature.slice(first, last + 1),
    grade: route.grade.slice(first, last + 1),
    verticalCurvature: route.verticalCurvature.slice(first, last + 1),
    ...(route.width ? { width: route.width.slice(first, last + 1) } : {}),
    ...(route.bank ? { bank: route.bank.slice(first, last + 1) } : {}),
    features: route.features.flatMap((one) => inside(one, route, first * route.step, last * route.step)),
  }
}

/** A feature as it is between two stations, counted from the first; nothing where too little of it is left. */
function inside(one: RoadFeature, route: Route, start: Metres, end: Metres): RoadFeature[] {
  const from = Math.max(one.from, start)
  const to = Math.min(one.to, end)
  if (!(from < to)) return []
  const moved = { from: from - start, to: to - start }
  if (one.kind === 'crest') {
    if (one.at < start || one.at > end) return []
    return [{ ...one, ...moved, at: one.at - start }]
  }
  if (from === one.from && to === one.to) return [{ ...one, ...moved }]
  let angle: Radians = 0
  let sharpest = 0
  for (let i = Math.round(from / route.step); i < Math.round(to / route.step); i++) {
    const bend = one.side === 'left' ? route.curvature[i]! : -route.curvature[i]!
    angle += Math.max(0, bend) * route.step
    sharpest = Math.max(sharpest, bend)
  }
  // What turns less than any corner that is found is none; where the plateau is cut off, what is left is wider than the corner was.
  return angle < LEAST_TURN ? [] : [{ ...one, ...moved, angle, radius: Math.max(one.radius, 1 / sharpest) }]
}
