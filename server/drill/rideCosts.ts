import type { Seconds, StageTime } from '../units.ts'
import type { RideCosts } from './drill.ts'

/** Least time a call takes in a condensed ride, and the road seen before the next call's earliest start (docs/method/learning.md, Policy; not from a source). */
const LEAST: Seconds = 1.5
export const SEEN_BEFORE: Seconds = 2

/** When a call may begin, begins and ends; seconds on the stage clock, in order of start. */
export interface CallTimes {
  readonly start: StageTime
  readonly end: StageTime
  readonly earliest: StageTime
}

/** Empty road left out: from `from`, when the call was heard, to `to`. */
export interface Jump {
  readonly from: StageTime
  readonly to: StageTime
}

/**
 * What a condensed ride leaves out after each call: from its end (LEAST after its start, when that is later) to SEEN_BEFORE the next call's earliest start.
 * Null where nothing is saved, and after the last call.
 */
export function jumpsOf(calls: readonly CallTimes[]): (Jump | null)[] {
  return calls.map((call, i) => {
    const next = calls[i + 1]
    if (!next) return null
    const from = Math.max(call.end, call.start + LEAST) as StageTime
    const to = (Math.min(next.earliest, next.start) - SEEN_BEFORE) as StageTime
    return to > from ? { from, to } : null
  })
}

/** Seconds of each call in a ride: from its start to the next one's, the last to `finish`; condensed, less the jump after it. Throws when starts fall back. */
export function rideCosts(calls: readonly CallTimes[], finish: StageTime): RideCosts {
  const jumps = jumpsOf(calls)
  const full: Seconds[] = []
  const condensed: Seconds[] = []
  calls.forEach((call, i) => {
    const until = calls[i + 1]?.start ?? Math.max(finish, call.end)
    if (!(until >= call.start)) throw new RangeError(`rideCosts: call ${i + 1} starts at ${until}, before call ${i}`)
    const seconds = Math.max(until - call.start, 0.1)
    const jump = jumps[i]
    full.push(seconds)
    condensed.push(jump == null ? seconds : Math.max(LEAST, seconds - (jump.to - jump.from)))
  })
  return { full, condensed }
}
