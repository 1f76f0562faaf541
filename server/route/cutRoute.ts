import type { Metres } from '../units.ts'
import type { Route } from './route.ts'

/**
 * The stretch of a road between two stations, rounded to whole steps; its own stations begin at 0 again. Features wholly inside are kept.
 * 0 ≤ from < to; `to` beyond the end is the end. Throws RangeError when less than ten steps are left. The route is not changed.
 */
export function cutRoute(route: Route, from: Metres, to: Metres): Route {
  if (!(from >= 0)) throw new RangeError(`cutRoute: from must be >= 0, got ${from}`)
  const first = Math.round(from / route.step)
  const last = Math.min(route.x.length - 1, Math.round(to / route.step))
  if (!(last - first >= 10))
    throw new RangeError(`cutRoute: from ${from} to ${to} is no stretch of a road of ${route.length} m`)
  const start = first * route.step
  const length = (last - first) * route.step
  return {
    ...route,
    length,
    closed: false,
    x: route.x.slice(first, last + 1),
    y: route.y.slice(first, last + 1),
    z: route.z.slice(first, last + 1),
    heading: route.heading.slice(first, last + 1),
    curvature: route.curvature.slice(first, last + 1),
    grade: route.grade.slice(first, last + 1),
    verticalCurvature: route.verticalCurvature.slice(first, last + 1),
    ...(route.width ? { width: route.width.slice(first, last + 1) } : {}),
    features: route.features
      .filter((one) => one.from >= start && one.to <= start + length)
      .map((one) =>
        one.kind === 'crest'
          ? { ...one, from: one.from - start, to: one.to - start, at: one.at - start }
          : { ...one, from: one.from - start, to: one.to - start },
      ),
  }
}
