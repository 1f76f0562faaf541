import type { Metres } from '../units.ts'

/** How far ahead along the road the next point is looked for, beyond its distance from the one before. */
const AHEAD: Metres = 60

/**
 * Values known at points of a file (width, banking), read at every station of the road built from them: each point is put at its nearest station, in order, and
 * between them values run straight; before the first and after the last known one they stay. Station, x and y are arrays of one length, points and values of
 * another. Null where no value is known.
 */
export function alongRoad(
  road: { readonly x: Float64Array; readonly y: Float64Array; readonly step: Metres },
  points: { readonly x: readonly number[]; readonly y: readonly number[] },
  values: readonly (number | null)[],
): Float64Array | null {
  const n = road.x.length
  const knots: { at: number; value: number }[] = []
  let at = 0
  for (let i = 0; i < points.x.length; i++) {
    const moved = i === 0 ? 0 : Math.hypot(points.x[i]! - points.x[i - 1]!, points.y[i]! - points.y[i - 1]!)
    const last = Math.min(n - 1, at + Math.ceil((moved + AHEAD) / road.step))
    let least = Number.POSITIVE_INFINITY
    for (let k = at; k <= last; k++) {
      const d = Math.hypot(road.x[k]! - points.x[i]!, road.y[k]! - points.y[i]!)
      if (d < least) {
        least = d
        at = k
      }
    }
    const value = values[i]
    if (value !== null && value !== undefined && Number.isFinite(value)) knots.push({ at, value })
  }
  if (knots.length === 0) return null
  const out = new Float64Array(n)
  for (let k = 0, cell = 0; k < n; k++) {
    while (cell + 1 < knots.length && knots[cell + 1]!.at <= k) cell++
    const [a, b] = [knots[cell]!, knots[cell + 1]]
    const share = b === undefined || k <= a.at ? 0 : (k - a.at) / (b.at - a.at)
    out[k] = a.value + share * ((b?.value ?? a.value) - a.value)
  }
  return out
}
