import type { Seconds } from '../units.ts'
import type { TakeScore } from './scoreTake.ts'
import type { ReadingPace } from './stage.ts'

/** How a reader read their takes, as ReadingPace has it: seconds of a call = syllables / syllablesPerSecond, and a pause after it. */
export interface MeasuredPace extends ReadingPace {
  readonly calls: number
  readonly takes: number
  /** Relative errors of single calls: half are within the first, 95 % within the second. */
  readonly spread: { readonly half: number; readonly most: number }
  /** Seconds of all calls of a take against what the pace says, the take furthest off; null with one take. */
  readonly takeSpread: number | null
}

const FEWEST = 10
/** Bounds that a person's reading stays within: outside them the fit is not offered. */
const SLOWEST = 2
const QUICKEST = 14

/** A pause under which a reader does not go when calls follow each other: this share of all gaps is shorter. */
const SHORT_GAPS = 0.15
const LONGEST_PAUSE: Seconds = 1
/** Share of calls furthest from the middle that are left out before adding up. */
const LEFT_OUT = 0.1

/**
 * Reading pace of takes, over calls heard surely, read once, without correction: all their syllables by all their seconds, the tenth furthest from the middle
 * left out; the pause is the 15 % quantile of the gaps between calls that follow each other. Null under ten calls, or for a pace no person reads at.
 */
export function measurePace(takes: readonly TakeScore[]): MeasuredPace | null {
  const used = takes.map((take) =>
    take.calls
      .filter(
        (call) =>
          call.start !== null &&
          call.verdict !== 'not sure' &&
          !call.corrected &&
          call.again === 0 &&
          call.end! > call.start,
      )
      .map((call) => ({ index: call.index, syllables: call.syllables, from: call.start!, to: call.end! })),
  )
  const all = used.flat().map((call) => ({ ...call, seconds: call.to - call.from }))
  if (all.length < FEWEST) return null
  const paces = all.map((call) => call.syllables / call.seconds).sort((a, b) => a - b)
  const cut = Math.floor((all.length * LEFT_OUT) / 2)
  const [low, high] = [paces[cut]!, paces[paces.length - 1 - cut]!]
  const kept = all.filter((call) => call.syllables / call.seconds >= low && call.syllables / call.seconds <= high)
  const syllablesPerSecond = sum(kept.map((call) => call.syllables)) / sum(kept.map((call) => call.seconds))
  if (!(syllablesPerSecond >= SLOWEST && syllablesPerSecond <= QUICKEST)) return null
  const gaps = used
    .flatMap((take) =>
      take
        .slice(1)
        .flatMap((call, i) => (call.index === take[i]!.index + 1 ? [Math.max(0, call.from - take[i]!.to)] : [])),
    )
    .sort((a, b) => a - b)
  const errors = all
    .map((one) => Math.abs((one.seconds * syllablesPerSecond) / one.syllables - 1))
    .sort((a, b) => a - b)
  const totals = used
    .filter((take) => take.length >= FEWEST)
    .map(
      (take) =>
        (sum(take.map((one) => one.to - one.from)) * syllablesPerSecond) / sum(take.map((one) => one.syllables)) - 1,
    )
  return {
    syllablesPerSecond,
    pause: Math.min(LONGEST_PAUSE, gaps[Math.floor(gaps.length * SHORT_GAPS)] ?? 0),
    calls: all.length,
    takes: used.filter((take) => take.length > 0).length,
    spread: {
      half: errors[Math.floor(errors.length / 2)]!,
      most: errors[Math.min(errors.length - 1, Math.floor(errors.length * 0.95))]!,
    },
    takeSpread: totals.length > 1 ? Math.max(...totals.map(Math.abs)) : null,
  }
}

const sum = (values: readonly number[]) => values.reduce((total, v) => total + v, 0)
