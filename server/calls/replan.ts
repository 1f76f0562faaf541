import type { Seconds, StageTime } from '../units.ts'
import type { CallWindow } from './plan.ts'
import { schedule, soonestStarts } from './schedule.ts'

/**
 * Starts of the calls still to be read, when the voice becomes free at `now` (scheduling.md §9, the safe rule): b_i = max(E_i,
 * min(x_i, trueLatest_i)), pushed right. Always least in lateness, O(n). `starts` is the plan's, parallel to `windows`; the result is
 * parallel to windows.slice(next). Throws RangeError when `next` is outside.
 */
export function replan(
  windows: readonly CallWindow[],
  starts: readonly StageTime[],
  next: number,
  now: StageTime,
): StageTime[] {
  if (!(Number.isInteger(next) && next >= 0 && next <= windows.length))
    throw new RangeError(`replan: next must be in 0…${windows.length}, got ${next}`)
  const { trueLatest } = schedule(windows)
  const held = windows.slice(next).map((window, k) => {
    const i = next + k
    return { ...window, earliest: Math.max(window.earliest, Math.min(starts[i]!, trueLatest[i]!)) }
  })
  return soonestStarts(held, now)
}

/** A fresh least-squares schedule of what is left, for a reader who is early. */
export function replanFresh(windows: readonly CallWindow[], next: number, now: Seconds): StageTime[] {
  return schedule(windows.slice(next).map((window) => ({ ...window, earliest: Math.max(window.earliest, now) }))).starts
}
