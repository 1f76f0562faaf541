import { wrapAngle } from '../numeric/wrapAngle.ts'
import type { Route } from '../route/route.ts'
import type { Metres } from '../units.ts'
import type { RoadCells } from './speed.ts'

/**
 * A road on cells: cell i lies between stations i and i+1.
 *   κ_i = (heading_{i+1} − heading_i)/h, the exact mean;  slope = sin of the slope angle from heights;  k_i = (grade_{i+1} − grade_i)/h
 * On called jumps (`[from, to)`) vertical curvature is 0: the car may leave the ground there. Throws RangeError for fewer than two stations.
 */
export function roadCells(
  route: Route,
  jumps: readonly { readonly from: Metres; readonly to: Metres }[] = [],
): RoadCells {
  const n = route.x.length - 1
  if (!(n >= 1)) throw new RangeError(`roadCells: a road needs two stations, got ${n + 1}`)
  const curvature = new Float64Array(n)
  const slope = new Float64Array(n)
  const vertical = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    curvature[i] = wrapAngle(route.heading[i + 1]! - route.heading[i]!) / route.step
    const rise = (route.z[i + 1]! - route.z[i]!) / route.step
    slope[i] = rise / Math.sqrt(1 + rise * rise)
    vertical[i] = (route.grade[i + 1]! - route.grade[i]!) / route.step
  }
  for (const jump of jumps) {
    for (let i = Math.max(0, Math.floor(jump.from / route.step)); i < Math.min(n, Math.ceil(jump.to / route.step)); i++)
      vertical[i] = 0
  }
  return { step: route.step, curvature, slope, vertical }
}
