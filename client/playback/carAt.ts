import type { Metres, MetresPerSecond, StageTime } from '../../server/units.ts'

/** A speed profile as it comes over the wire: parallel, ascending. */
export interface ProfileTable {
  readonly station: readonly number[]
  readonly speed: readonly number[]
  readonly time: readonly number[]
}

export interface CarState {
  station: Metres
  speed: MetresPerSecond
}

/** Last index with table[i] <= value, at most table.length − 2; 0 before the first. */
function cell(table: readonly number[], value: number): number {
  let low = 0
  let high = table.length - 1
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (table[middle]! <= value) low = middle
    else high = middle
  }
  return low
}

/**
 * Where the car is at a stage time, written into `out`. Between nodes acceleration is constant in time:
 *   s = s₀ + v₀·dt + ½·a·dt²,  a = (v₁ − v₀)/(t₁ − t₀), scaled to meet s₁.
 * Before the line it stands at the first station; after the finish at the last.
 */
export function carAtInPlace(profile: ProfileTable, t: StageTime, out: CarState): void {
  const { station, speed, time } = profile
  const last = time.length - 1
  if (!(t > time[0]!)) {
    out.station = station[0]!
    out.speed = t < time[0]! ? 0 : speed[0]!
    return
  }
  if (t >= time[last]!) {
    out.station = station[last]!
    out.speed = speed[last]!
    return
  }
  const i = cell(time, t)
  const whole = time[i + 1]! - time[i]!
  const part = (t - time[i]!) / whole
  const v0 = speed[i]!
  const v1 = speed[i + 1]!
  const mean = (v0 + v1) / 2
  const covered = mean > 0 ? (part * (v0 + 0.5 * (v1 - v0) * part)) / mean : part
  out.station = station[i]! + (station[i + 1]! - station[i]!) * covered
  out.speed = v0 + (v1 - v0) * part
}

/** When the car passes a station: the inverse of carAtInPlace, clamped to the run. */
export function timeAtStation(profile: ProfileTable, at: Metres): StageTime {
  const { station, speed, time } = profile
  const last = station.length - 1
  if (at <= station[0]!) return time[0]!
  if (at >= station[last]!) return time[last]!
  const i = cell(station, at)
  const covered = (at - station[i]!) / (station[i + 1]! - station[i]!)
  const v0 = speed[i]!
  const rise = speed[i + 1]! - v0
  const mean = v0 + rise / 2
  // part·v0 + ½·rise·part² = covered·mean, in the form that stays exact as rise goes to 0.
  const part =
    mean > 0 ? (2 * covered * mean) / (v0 + Math.sqrt(Math.max(0, v0 * v0 + 2 * rise * covered * mean))) : covered
  return time[i]! + part * (time[i + 1]! - time[i]!)
}

/** Station at a stage time, for uses outside a frame. */
export function stationAt(profile: ProfileTable, t: StageTime): Metres {
  const car: CarState = { station: 0, speed: 0 }
  carAtInPlace(profile, t, car)
  return car.station
}
