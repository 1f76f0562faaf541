import type { Route } from '../route/route.ts'
import type { RoadTable } from './wire.ts'

/** A road as pages draw it: every `step`-th station (whole, >= 1) and the last, centimetres and tenths of a milliradian. */
export function roadTable(route: Route, step: number): RoadTable {
  const at: number[] = []
  for (let i = 0; i < route.x.length; i += step) at.push(i)
  if (at.at(-1) !== route.x.length - 1) at.push(route.x.length - 1)
  const column = (values: Float64Array, digits: number) => at.map((i) => Number(values[i]!.toFixed(digits)))
  return {
    step,
    length: route.length,
    source: route.source,
    closed: route.closed,
    x: column(route.x, 2),
    y: column(route.y, 2),
    z: column(route.z, 2),
    heading: column(route.heading, 4),
    curvature: column(route.curvature, 5),
    features: route.features,
    noise: route.noise,
    losses: route.losses,
  }
}
