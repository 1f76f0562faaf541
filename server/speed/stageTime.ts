import type { Metres, MetresPerSecond, StageTime } from '../units.ts'
import type { SpeedProfile } from './speed.ts'

/** When the car is at a station: linear in w = v² between nodes, as the profile was solved. Stations outside are clamped to the road's ends. */
export function timeAt(profile: SpeedProfile, station: Metres): StageTime {
  const { i, x } = cellAt(profile, station)
  const v0 = profile.speed[i]!
  const ds = x * profile.step
  if (ds === 0) return profile.time[i]!
  return profile.time[i]! + (2 * ds) / Math.max(1e-3, v0 + speedAt(profile, station))
}

/** Speed at a station, clamped to the road's ends. */
export function speedAt(profile: SpeedProfile, station: Metres): MetresPerSecond {
  const { i, x } = cellAt(profile, station)
  const w0 = profile.speed[i]! ** 2
  const w1 = profile.speed[i + 1]! ** 2
  return Math.sqrt(w0 + x * (w1 - w0))
}

/** Where the car is at a time, clamped to the run. The inverse of timeAt to rounding. */
export function stationAt(profile: SpeedProfile, time: StageTime): Metres {
  const last = profile.time.length - 1
  if (!(time > 0)) return 0
  if (time >= profile.time[last]!) return last * profile.step
  let low = 0
  let high = last
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (profile.time[middle]! <= time) low = middle
    else high = middle
  }
  const v0 = profile.speed[low]!
  const a = (profile.speed[low + 1]! ** 2 - v0 ** 2) / (2 * profile.step)
  const t = time - profile.time[low]!
  return low * profile.step + Math.min(profile.step, Math.max(0, v0 * t + 0.5 * a * t * t))
}

function cellAt(profile: SpeedProfile, station: Metres): { i: number; x: number } {
  const cells = profile.time.length - 1
  const at = Math.min(cells, Math.max(0, station / profile.step))
  const i = Math.min(cells - 1, Math.floor(at))
  return { i, x: at - i }
}
