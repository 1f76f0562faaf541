import type { HeardCall } from '../../client/microphone/hearTake.ts'
import type { SyntheticTake } from './syntheticTake.ts'

/** A call is rightly matched when the stretch heard and a true reading of it share at least half of what they cover together. */
export function overlap(a: { from: number; to: number }, b: { from: number; to: number }): number {
  const both = Math.min(a.to, b.to) - Math.max(a.from, b.from)
  return both <= 0 ? 0 : both / (Math.max(a.to, b.to) - Math.min(a.from, b.from))
}

export interface Tally {
  read: number
  right: number
  wrong: number
  /** Seconds, heard less true, of right ones. */
  starts: number[]
  ends: number[]
  skipped: number
  /** Skipped ones left out by the matching, and all that it left out. */
  leftOut: number
  leftOutRightly: number
  confidences: { value: number; right: boolean }[]
}

export const emptyTally = (): Tally => ({
  read: 0,
  right: 0,
  wrong: 0,
  starts: [],
  ends: [],
  skipped: 0,
  leftOut: 0,
  leftOutRightly: 0,
  confidences: [],
})

/** Adds what a matching got right of a take, whose truth is known, to a tally. */
export function judgeInPlace(tally: Tally, take: SyntheticTake, heard: readonly HeardCall[], calls: number): void {
  for (let call = 0; call < calls; call++) {
    const truths = take.spoken.filter((one) => one.call === call && one.kind !== 'broken off')
    const found = heard.filter((one) => one.call === call && one.kind !== 'broken off')
    const skipped = truths.length === 0
    if (skipped) tally.skipped++
    if (found.length === 0) {
      tally.leftOut++
      if (skipped) tally.leftOutRightly++
    }
    if (!skipped) tally.read++
    if (found.length === 0) continue
    const first = found[0]!
    const true_ = truths.find((one) => overlap(one, first) >= 0.5)
    tally.confidences.push({ value: first.confidence, right: true_ !== undefined })
    if (skipped) continue
    if (true_ === undefined) tally.wrong++
    else {
      tally.right++
      tally.starts.push(first.from - true_.from)
      tally.ends.push(first.to - true_.to)
    }
  }
}

export function quantile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN
}
