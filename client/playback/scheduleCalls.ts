import type { StageTime } from '../../server/units.ts'

/** What the player needs of a call: when it starts and ends, what is heard, and which clip it is. */
export interface TimedCall {
  readonly index: number
  readonly start: StageTime
  readonly end: StageTime
  readonly clip: string | null
}

/** First position whose start is >= t, in calls sorted by start. */
export function firstFrom(calls: readonly TimedCall[], t: StageTime): number {
  let low = 0
  let high = calls.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (calls[middle]!.start < t) low = middle + 1
    else high = middle
  }
  return low
}

/**
 * Calls that start in [from, to), in order. Half-open, so that neighbouring stretches hand out each call once, wherever the
 * seams fall. `calls` sorted by start. Empty when to <= from; throws RangeError on NaN.
 */
export function callsStarting<T extends TimedCall>(calls: readonly T[], q: { from: StageTime; to: StageTime }): T[] {
  if (Number.isNaN(q.from) || Number.isNaN(q.to)) throw new RangeError(`callsStarting: from ${q.from}, to ${q.to}`)
  const due: T[] = []
  for (let i = firstFrom(calls, q.from); i < calls.length && calls[i]!.start < q.to; i++) due.push(calls[i]!)
  return due
}
