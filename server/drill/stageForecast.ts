import type { EpochTime } from '../units.ts'
import type { PlannedDay } from './dayPlan.ts'
import type { Memory } from './drill.ts'
import { chanceAt, chancesAt, nightOf, passCurve } from './forecast.ts'
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

/** Share of the calls known at a moment, by the head carried through the plan. 0 without calls. */
export function knownByHead(q: ForecastRequest): number {
  let sum = 0
  for (let i = 0; i < q.memories.length; i++)
    sum += chanceAt(q.memories[i]!, q.at, q.head, q.meetings[i]!, q.claims ?? 0)
  return q.memories.length === 0 ? 0 : sum / q.memories.length
}

/** The same by how often calls will have been met when the day comes. */
export function knownByPasses(q: ForecastRequest): number {
  const curve = passCurve(q.overnight)
  let sum = 0
  for (let i = 0; i < q.memories.length; i++) {
    const memory = q.memories[i]
    const passes = (memory ? memory.successes + memory.others : 0) + q.meetings[i]!.length
    if (passes > 0) sum += curve.at(passes)
  }
  return q.memories.length === 0 ? 0 : sum / q.memories.length
}

/**
 * The share told to a crew. With a night still to come, the mean of both: the head is too sure of a person who gains little from each pass, the curve too
 * unsure of one who gains much, and the two errors are of like size (docs/method/learning.md has both). Without one, the head, which knows how long ago.
 */
export function knownOnTheDay(q: ForecastRequest, now: EpochTime): number {
  const head = knownByHead(q)
  return nightOf(now, q.at) ? (head + knownByPasses(q)) / 2 : head
}

/** knownOnTheDay at several ascending moments, of what is met up to each. Cost grows with moments plus meetings, not with their product. */
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
