import { naturalSpline, splineAt } from '../numeric/naturalSpline.ts'
import type { Metres, Seconds } from '../units.ts'
import { type AlignedLog, wanderAt } from './alignedLog.ts'
import type { Fixes } from './fixes.ts'
import { pointAt, type RibbonLine } from './ribbon.ts'

export interface MeanLog {
  readonly fixes: Fixes
  /** Station of each on the road they were averaged about; ascending. */
  readonly station: Float64Array
}

/** Pace of a road no log has a clock for, inside only. */
const PACE = 10
/** Fixes nearer along the road than this say nothing of its pace. */
const APART: Metres = 2

/**
 * Logs of one road averaged about it: each fix less its receiver's wander, plus the mean wander; then, on the mean clock, one fix for each cell as long as the mean time
 * between fixes of all logs together, its offset from the road the mean of those in it, weights 1/σ².
 */
export function meanLog(logs: readonly AlignedLog[], road: RibbonLine): MeanLog {
  const clock = meanClock(logs, road.length)
  const heights = levelledHeights(logs)
  const rows: { time: Seconds; station: Metres; x: Metres; y: Metres; z: number | null; weight: number }[] = []
  for (const [k, log] of logs.entries()) {
    for (let i = 0; i < log.fixes.x.length; i++) {
      const station = log.station[i]!
      if (Number.isNaN(station)) continue
      const own = wanderAt(log.wander, station)
      const mean = meanWander(logs, station)
      const point = pointAt(road, station)
      rows.push({
        time: clock(station),
        station,
        x: log.fixes.x[i]! - own.x + mean.x - point.x,
        y: log.fixes.y[i]! - own.y + mean.y - point.y,
        z: heights[k]![i]!,
        weight: 1 / log.noise ** 2,
      })
    }
  }
  rows.sort((a, b) => a.time - b.time)
  const cell = (rows.at(-1)!.time - rows[0]!.time) / Math.max(1, rows.length)
  const out: MeanLog = { fixes: { x: [], y: [], z: [], t: [] }, station: new Float64Array(0) }
  const stations: number[] = []
  for (let i = 0; i < rows.length; ) {
    const ends = rows[i]!.time + cell
    let weight = 0
    let time = 0
    let station = 0
    let x = 0
    let y = 0
    let height = 0
    let heightWeight = 0
    for (; i < rows.length && rows[i]!.time < ends; i++) {
      const row = rows[i]!
      weight += row.weight
      time += row.weight * row.time
      station += row.weight * row.station
      x += row.weight * row.x
      y += row.weight * row.y
      if (row.z === null) continue
      height += row.weight * row.z
      heightWeight += row.weight
    }
    const point = pointAt(road, station / weight)
    stations.push(station / weight)
    out.fixes.x.push(point.x + x / weight)
    out.fixes.y.push(point.y + y / weight)
    out.fixes.z.push(heightWeight > 0 ? height / heightWeight : null)
    out.fixes.t!.push(time / weight)
  }
  const timed = logs.some((log) => log.fixes.t !== null)
  return { fixes: timed ? out.fixes : { ...out.fixes, t: null }, station: Float64Array.from(stations) }
}

function meanWander(logs: readonly AlignedLog[], station: Metres): { x: Metres; y: Metres } {
  let x = 0
  let y = 0
  let sum = 0
  for (const log of logs) {
    const weight = 1 / log.noise ** 2
    const own = wanderAt(log.wander, station)
    x += weight * own.x
    y += weight * own.y
    sum += weight
  }
  return { x: x / sum, y: y / sum }
}

/** Mean time to each station over the logs that have a clock, summed metre by metre so that a log of part of the road may join and leave. */
function meanClock(logs: readonly AlignedLog[], length: Metres): (station: Metres) => Seconds {
  const count = Math.ceil(length) + 1
  const slowness = new Float64Array(count)
  const known = new Float64Array(count)
  for (const log of logs) {
    if (log.fixes.t === null) continue
    const knots: number[] = []
    const times: number[] = []
    for (let i = 0; i < log.fixes.t.length; i++) {
      const s = log.station[i]!
      if (Number.isNaN(s) || (knots.length > 0 && s < knots.at(-1)! + APART)) continue
      knots.push(s)
      times.push(log.fixes.t[i]!)
    }
    if (knots.length < 2) continue
    const spline = naturalSpline(knots, times)
    let cell = 0
    for (let m = Math.ceil(knots[0]!); m <= Math.min(count - 1, knots.at(-1)!); m++) {
      while (cell < knots.length - 2 && knots[cell + 1]! < m) cell++
      // Between 1 and 40 m/s: the spline may swing where fixes lie close.
      slowness[m] = slowness[m]! + Math.max(1 / 40, Math.min(1, splineAt(spline, cell, m).first))
      known[m] = known[m]! + 1
    }
  }
  const time = new Float64Array(count)
  let pace = 1 / PACE
  for (let m = 1; m < count; m++) {
    if (known[m]! > 0) pace = slowness[m]! / known[m]!
    time[m] = time[m - 1]! + pace
  }
  return (station) => {
    const j = Math.max(0, Math.min(count - 2, Math.floor(station)))
    return time[j]! + (station - j) * (time[j + 1]! - time[j]!)
  }
}

/** Heights of each log with the difference of its level from the mean level taken out: barometers are set differently. */
function levelledHeights(logs: readonly AlignedLog[]): (number | null)[][] {
  const first = logs.find((log) => log.fixes.z.some((z) => z !== null))
  const levels = logs.map((log) => (first === undefined ? null : levelOver(log, first)))
  const known = levels.filter((level) => level !== null)
  const mean = known.reduce((sum, level) => sum + level, 0) / Math.max(1, known.length)
  return logs.map((log, k) => log.fixes.z.map((z) => (z === null || levels[k] === null ? null : z - levels[k]! + mean)))
}

/** Median of a log's heights over those of another at the same stations; null without any in common. */
function levelOver(log: AlignedLog, other: AlignedLog): Metres | null {
  const differences: number[] = []
  let j = 0
  for (let i = 0; i < log.station.length; i++) {
    const s = log.station[i]!
    const z = log.fixes.z[i]
    if (Number.isNaN(s) || z === null || z === undefined) continue
    while (j < other.station.length && !(other.station[j]! >= s && other.fixes.z[j] !== null)) j++
    const there = other.fixes.z[j]
    if (there === undefined) break
    if (there !== null) differences.push(z - there)
  }
  return differences.length === 0 ? null : differences.sort((a, b) => a - b)[differences.length >> 1]!
}
