import type { Metres, MetresPerSecond } from '../units.ts'
import type { RoadCells } from './speed.ts'

/** A stretch that a crew means to drive no faster than this. */
export interface SpeedLimit {
  readonly from: Metres
  readonly to: Metres
  readonly speed: MetresPerSecond
}

/**
 * The same road, driven on some stretches no faster than a limit: `cap` holds v² for each cell, boundless elsewhere; limits that overlap
 * take the lower. Cells touched by a stretch belong to it. Throws RangeError for a limit that is not > 0 or whose ends are not in order.
 */
export function limitedCells(cells: RoadCells, limits: readonly SpeedLimit[]): RoadCells {
  if (limits.length === 0) return cells
  const n = cells.curvature.length
  const cap = cells.cap?.slice() ?? new Float64Array(n).fill(Number.POSITIVE_INFINITY)
  for (const { from, to, speed } of limits) {
    if (!(speed > 0)) throw new RangeError(`limitedCells: a limit must be > 0 m/s, got ${speed}`)
    if (!(from < to)) throw new RangeError(`limitedCells: a limit from ${from} to ${to} has no length`)
    const last = Math.min(n, Math.ceil(to / cells.step))
    for (let i = Math.max(0, Math.floor(from / cells.step)); i < last; i++) cap[i] = Math.min(cap[i]!, speed * speed)
  }
  return { ...cells, cap }
}
