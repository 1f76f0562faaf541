import type { RoadTable } from '../../server/api/wire.ts'

export interface RoadPoint {
  x: number
  y: number
  z: number
  heading: number
}

/** Place on the road at a station, written into `out`: linear between table rows, heading the short way round. */
export function roadPoint(road: RoadTable, station: number, out: RoadPoint): void {
  const last = road.x.length - 1
  const at = Math.min(last, Math.max(0, station / road.step))
  const i = Math.min(last - 1, Math.floor(at))
  const u = at - i
  const turn = road.heading[i + 1]! - road.heading[i]!
  const short = turn > Math.PI ? turn - 2 * Math.PI : turn < -Math.PI ? turn + 2 * Math.PI : turn
  out.x = road.x[i]! + u * (road.x[i + 1]! - road.x[i]!)
  out.y = road.y[i]! + u * (road.y[i + 1]! - road.y[i]!)
  out.z = road.z[i]! + u * (road.z[i + 1]! - road.z[i]!)
  out.heading = road.heading[i]! + u * short
}
