import type { EpochTime } from '../units.ts'
import { DAY, type Evidence, type Memory } from './drill.ts'
import { chance, type Head, isOvernight } from './forecastHead.ts'
import { afterAnswer, featuresAt } from './memory.ts'

/** What will be known on the day, as a share 0…1 with its range. */
export interface Forecast {
  readonly share: number
  readonly low: number
  readonly high: number
  /** Too few evenings to say; share is then only the last overnight score, or null. */
  readonly early: boolean
}

/** Half-widths by evenings practised (docs/method/learning.md: measured errors); with few nights in all it stays wide. */
const WIDTHS = [0.12, 0.08, 0.05] as const
/** Evenings of practice before a forecast is told. */
export const FIRST_TOLD = 3
const FEW_NIGHTS = 4

/** Never met: a guess rarely hits. */
const UNMET = 0.02

/** Chance that an item is known at a moment, after the planned meetings (ascending moments) that lie between. Expected counts, no dice. */
export function chanceAt(
  memory: Memory | null,
  at: EpochTime,
  head: Head,
  meetings: readonly EpochTime[] = [],
  claims = 0,
): number {
  return chancesAt(memory, [at], head, meetings, claims)[0]!
}

/** The same at several ascending moments, one chance each, in one walk along the meetings: plans of a year have hundreds of moments. */
export function chancesAt(
  memory: Memory | null,
  moments: readonly EpochTime[],
  head: Head,
  meetings: readonly EpochTime[] = [],
  claims = 0,
): number[] {
  let now = memory
  let next = 0
  return moments.map((at) => {
    for (; next < meetings.length && meetings[next]! <= at; next++) now = afterMeeting(now, meetings[next]!, head)
    return now === null ? UNMET : lessClaims(chance(head, featuresAt(now, at)), claims)
  })
}

/** What is to be expected of a memory after one more meeting. */
function afterMeeting(now: Memory | null, meeting: EpochTime, head: Head): Memory {
  if (now === null) return { ...UNHEARD, graded: meeting, met: meeting }
  const p = chance(head, featuresAt(now, meeting))
  const known = afterAnswer(now, meeting, 'in time')
  const missed = afterAnswer(now, meeting, 'no')
  return {
    // Stability is a scale: the geometric mean of both ways it may go.
    stability: Math.exp(p * Math.log(known.stability) + (1 - p) * Math.log(missed.stability)),
    difficulty: p * known.difficulty + (1 - p) * missed.difficulty,
    graded: meeting,
    met: meeting,
    successes: now.successes + p,
    others: now.others + 1 - p,
  }
}

const UNHEARD = { stability: 0.212, difficulty: 6.4133, successes: 0, others: 1 }

/**
 * A chance read from self-judged answers, less the share `over` of misses that were claimed as known: max(0, (p − over) / (1 − over)) (docs/method/learning.md,
 * Self-judgement).
 */
export function lessClaims(p: number, over: number): number {
  return Math.max(0, (p - over) / (1 - over))
}

/** o = (false claims + 1) / (unknown checked + 10): what of the unknown is claimed as known. `checked` counts checked items that were not known. */
export function overClaim(q: { falseClaims: number; unknownChecked: number }): number {
  if (!(q.falseClaims >= 0 && q.unknownChecked >= q.falseClaims))
    throw new RangeError(`overClaim: ${q.falseClaims} false claims of ${q.unknownChecked}`)
  return (q.falseClaims + 1) / (q.unknownChecked + 10)
}

/** Share and range shown to a crew. `evenings` practised so far; `nights` from the first practice to the event. */
export function rangeOf(share: number, evenings: number, nights: number): Forecast {
  const width = nights < FEW_NIGHTS ? WIDTHS[0] : WIDTHS[Math.min(WIDTHS.length, Math.max(1, evenings - 2)) - 1]!
  return {
    share,
    low: Math.max(0, share - width),
    high: Math.min(1, share + width),
    early: evenings < FIRST_TOLD,
  }
}

/** Share of overnight answers on the last practice day that were right; null without any. */
export function lastOvernight(evidence: readonly (Evidence & { readonly day: string })[]): number | null {
  const overnight = evidence.filter((one) => isOvernight(one.features))
  const day = overnight.at(-1)?.day
  const last = overnight.filter((one) => one.day === day)
  return last.length === 0 ? null : last.filter((one) => one.recalled).length / last.length
}

/** y ~ a + b ln(passes) on overnight answers, MAP with the priors of docs/method/learning.md. Chance of recall after `passes` meetings and a night. */
export function passCurve(answers: readonly { readonly passes: number; readonly recalled: boolean }[]) {
  let [a, b] = [-3.2, 2.2]
  for (let step = 0; step < 15; step++) {
    let ga = (-3.2 - a) / 1.5 ** 2
    let gb = (2.2 - b) / 0.6 ** 2
    let haa = 1 / 1.5 ** 2
    let hab = 0
    let hbb = 1 / 0.6 ** 2
    for (const { passes, recalled } of answers) {
      const x = Math.log(Math.max(1, passes))
      const p = 1 / (1 + Math.exp(-a - b * x))
      const slope = (recalled ? 1 : 0) - p
      ga += slope
      gb += slope * x
      const bend = p * (1 - p)
      haa += bend
      hab += bend * x
      hbb += bend * x * x
    }
    const det = haa * hbb - hab * hab
    // Whole Newton steps overshoot where all answers agree; a step of half a unit at a time does not.
    const da = Math.max(-0.5, Math.min(0.5, (hbb * ga - hab * gb) / det))
    const db = Math.max(-0.5, Math.min(0.5, (haa * gb - hab * ga) / det))
    a += da
    b += db
    if (Math.abs(da) + Math.abs(db) < 1e-7) break
  }
  return { a, b, at: (passes: number) => 1 / (1 + Math.exp(-a - b * Math.log(Math.max(1, passes)))) }
}

export const nightOf = (from: EpochTime, to: EpochTime): boolean => (to - from) / DAY >= 0.27
