import type { EpochTime } from '../units.ts'
import type { PlannedDay } from './dayPlan.ts'
import type { Memory } from './drill.ts'
import { chancesAt, nightOf, passCurve } from './forecast.ts'
import type { Head } from './forecastHead.ts'

/** When each call will be met if the plan is carried out, ascending. */
export function meetingsOf(days: readonly PlannedDay[], calls: number): EpochTime[][] {
  const meetings: EpochTime[][] = Array.from({ length: calls }, () => [])
  for (const day of days) {
    let at = day.at
    for (const stretch of day.stretches) {
      const each = stretch.seconds / Math.max(1, stretch.to - stretch.from)
      for (let call = stretch.from; call < stretch.to; call++) {
        meetings[call]!.push(at)
        at += each
      }
    }
  }
  return meetings
}

export interface ForecastRequest {
  /** Of each call's `say` item, in order. */
  readonly memories: readonly (Memory | null)[]
  readonly head: Head
  readonly at: EpochTime
  /** What will still be practised before `at`; parallel to memories. Empty lists: if the crew stopped now. */
  readonly meetings: readonly (readonly EpochTime[])[]
  /** Overnight answers so far, for the pass curve. */
  readonly overnight: readonly { readonly passes: number; readonly recalled: boolean }[]
  readonly claims?: number
}

/** The share told to a crew of one moment: see knownOnDays. */
export const knownOnTheDay = (q: ForecastRequest, now: EpochTime): number => knownOnDays(q, [q.at], now)[0]!

/**
 * Shares of the calls known at several ascending moments, of what is met up to each; 0 without calls. With a night still to come, the mean of two: what the
 * head says carried through the plan, and the pass curve by how often calls will have been met. The head is too sure of a person who gains little from each
 * pass, the curve too unsure of one who gains much, and the two errors are of like size (docs/method/learning.md has both). Without a night, the head, which
 * knows how long ago. Cost grows with moments plus meetings, not with their product.
 */
export function knownOnDays(
  q: Omit<ForecastRequest, 'at'>,
  moments: readonly EpochTime[],
  now: EpochTime,
): readonly number[] {
  const curve = passCurve(q.overnight)
  const byHead = moments.map(() => 0)
  const byPasses = moments.map(() => 0)
  q.memories.forEach((memory, call) => {
    const meetings = q.meetings[call]!
    const chances = chancesAt(memory, moments, q.head, meetings, q.claims ?? 0)
    const before = memory ? memory.successes + memory.others : 0
    let met = 0
    moments.forEach((at, i) => {
      while (met < meetings.length && meetings[met]! <= at) met++
      byHead[i] = byHead[i]! + chances[i]!
      if (before + met > 0) byPasses[i] = byPasses[i]! + curve.at(before + met)
    })
  })
  const n = Math.max(1, q.memories.length)
  return moments.map((at, i) => (nightOf(now, at) ? (byHead[i]! + byPasses[i]!) / 2 : byHead[i]!) / n)
}
