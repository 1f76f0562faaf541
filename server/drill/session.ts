import type { Seconds } from '../units.ts'
import type { RideCosts, Stretch } from './drill.ts'

/** At full stage time a day: one ride of the stage, and never more than this share of the minutes; the rest with the empty seconds cut (docs/method/learning.md). */
export const FULL_SHARE = 1 / 3

export interface RideState {
  /** Calls [0, heard) have been listened to at least once. */
  readonly heard: number
  /** Call the next ride from memory begins at. */
  readonly position: number
  /** Seconds ridden at full stage time on this practice day. */
  readonly fullToday: Seconds
}

export interface SessionRequest extends RideState {
  readonly costs: RideCosts
  readonly seconds: Seconds
  /** Everything at full stage time. */
  readonly allFull?: boolean
  /** Seconds of the day at most at full stage time; of this session's when not given (see fullBudget). */
  readonly fullBudget?: Seconds
}

/** Seconds at full stage time that a day of `seconds` should have. */
export function fullBudget(costs: RideCosts, seconds: Seconds): Seconds {
  let ride = 0
  for (const one of costs.full) ride += one
  return Math.min(ride, seconds * FULL_SHARE)
}

/**
 * One sitting: listen on from the first call never heard, the whole stage before any test; then ride from memory from where the last ride stopped, wrapping
 * at the end, until the seconds are out. The first part of a day is ridden at full stage time, later parts condensed. At least one call when there is time
 * for anything; empty for a stage without calls. `position` and `heard` after it: ridesEnd.
 */
export function planSession(q: SessionRequest): Stretch[] {
  const n = q.costs.full.length
  if (!(q.seconds >= 0)) throw new RangeError(`planSession: seconds must be >= 0, got ${q.seconds}`)
  if (n === 0 || q.seconds === 0) return []
  const stretches: Stretch[] = []
  let left = q.seconds
  let full = q.allFull
    ? Number.POSITIVE_INFINITY
    : Math.max(0, (q.fullBudget ?? fullBudget(q.costs, q.seconds)) - q.fullToday)
  let at = q.heard
  // The first hearing is at full stage time: it is how the stage sounds.
  if (at < n) {
    const stretch = fill(q.costs.full, at, n, left, stretches.length === 0)
    stretches.push({ from: at, to: stretch.to, way: 'listen', pace: 'full', seconds: stretch.seconds })
    left -= stretch.seconds
    full = q.allFull ? full : Math.max(0, full - stretch.seconds)
    at = stretch.to
    if (at < n) return stretches
  }
  at = q.position % n
  while (left > 0) {
    const pace = full > 0 ? 'full' : 'condensed'
    const { to, seconds } = fill(q.costs[pace], at, n, Math.min(left, full > 0 ? full : left), stretches.length === 0)
    if (to === at) {
      if (pace === 'full' && full < left) {
        full = 0
        continue
      }
      break
    }
    stretches.push({ from: at, to, way: 'recall', pace, seconds })
    left -= seconds
    full -= pace === 'full' ? seconds : 0
    at = to % n
  }
  return stretches
}

/** Where the rides of a session leave the stage: see RideState. */
export function ridesEnd(state: RideState, stretches: readonly Stretch[], calls: number): RideState {
  let { heard, position, fullToday } = state
  for (const stretch of stretches) {
    if (stretch.way === 'listen') heard = Math.max(heard, stretch.to)
    else position = stretch.to % calls
    if (stretch.pace === 'full') fullToday += stretch.seconds
  }
  return { heard, position, fullToday }
}

/** Calls from `at` on, up to `end`, that fit in `seconds`; one at least where `one` is set. */
function fill(costs: readonly Seconds[], at: number, end: number, seconds: Seconds, one: boolean) {
  let used = 0
  let to = at
  while (to < end && (used + costs[to]! <= seconds || (one && to === at))) used += costs[to++]!
  return { to, seconds: used }
}
