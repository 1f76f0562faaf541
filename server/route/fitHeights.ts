import { jerkSpline } from '../numeric/jerkSpline.ts'
import { naturalSpline, splineAt } from '../numeric/naturalSpline.ts'
import type { Metres } from '../units.ts'

export interface FittedHeights {
  readonly z: Float64Array
  /** sin of the slope angle. */
  readonly grade: Float64Array
  readonly vertical: Float64Array
}

/** Heights nearer than this along the road are averaged: steps of a barometer, drift of a receiver. */
const CELL: Metres = 5
/** Metres of road taken as a second, so that strengths found on positions are a fair start for heights. */
const PACE = 10

/**
 * Heights over stations, third differences penalised, strength and noise from the data (docs/method/route.md), read at `count` whole metres.
 * Unknown heights are left out; fewer than eight known ones give a level road.
 * `exact` heights (designed roads) are not smoothed.
 */
export function fitHeights(
  stations: ArrayLike<number>,
  heights: readonly (number | null)[],
  count: number,
  exact = false,
): FittedHeights {
  const cells = new Map<number, { s: number; z: number; n: number }>()
  for (let i = 0; i < heights.length; i++) {
    const z = heights[i]
    if (z === null || z === undefined || !Number.isFinite(z)) continue
    const key = exact ? i : Math.floor(stations[i]! / CELL)
    const cell = cells.get(key) ?? { s: 0, z: 0, n: 0 }
    cells.set(key, { s: cell.s + stations[i]!, z: cell.z + z, n: cell.n + 1 })
  }
  const nodes = [...cells.values()].map(({ s, z, n }) => ({ s: s / n, z: z / n })).sort((a, b) => a.s - b.s)
  const level = { z: new Float64Array(count), grade: new Float64Array(count), vertical: new Float64Array(count) }
  if (nodes.length < 8) {
    if (nodes.length > 0) level.z.fill(nodes.reduce((sum, node) => sum + node.z, 0) / nodes.length)
    return level
  }
  const knots = nodes.map((node) => node.s)
  const mean = nodes.reduce((sum, node) => sum + node.z, 0) / nodes.length
  const above = nodes.map((node) => node.z - mean)
  const smooth = exact
    ? above
    : jerkSpline(
        knots.map((one) => one / PACE),
        [above],
      ).values[0]!
  const spline = naturalSpline(knots, smooth)
  let cell = 0
  for (let m = 0; m < count; m++) {
    const at = Math.min(knots.at(-1)!, Math.max(knots[0]!, m))
    while (cell < knots.length - 2 && knots[cell + 1]! < at) cell++
    const read = splineAt(spline, cell, at)
    level.z[m] = read.value + mean
    level.grade[m] = read.first / Math.sqrt(1 + read.first ** 2)
    level.vertical[m] = at === m ? read.second : 0
  }
  return level
}
