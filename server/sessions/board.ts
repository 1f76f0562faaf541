import type { Seconds } from '../units.ts'
import type { ClubCall } from './clubPlan.ts'
import type { Board, BoardRow, RunView } from './clubWire.ts'
import { ON_TIME, spreadOf } from './tapScore.ts'

/** One who took part: errors by call, null where a call they should have tapped went by. */
export interface Part {
  readonly name: string
  readonly shown: boolean
  readonly errors: ReadonlyMap<number, Seconds>
  /** Indexes of the calls that were theirs to tap. */
  readonly asked: readonly number[]
  readonly right: number
  readonly questions: number
  readonly vote: 'verbose' | 'terse' | null
}

const BIN: Seconds = 0.25
const FROM: Seconds = -3
const BINS = 24
/** A slip is a call missed or further off than this; it is got over with the second call in a row on time. */
const SLIP: Seconds = 1
const STEADY_TAPS = 5

/**
 * Seconds from each slip to the start of the second of two calls in a row on time, averaged; null without a slip that was got over.
 */
export function recoveryOf(calls: readonly ClubCall[], part: Pick<Part, 'errors' | 'asked'>): Seconds | null {
  const asked = new Set(part.asked)
  const took: Seconds[] = []
  let slip: Seconds | null = null
  let inARow = 0
  for (const call of calls) {
    if (!asked.has(call.index)) continue
    const error = part.errors.get(call.index)
    if (error === undefined || Math.abs(error) > SLIP) {
      slip ??= call.start
      inARow = 0
    } else if (Math.abs(error) <= ON_TIME) {
      inARow += 1
      if (slip !== null && inARow >= 2) {
        took.push(call.start - slip)
        slip = null
      }
    } else inARow = 0
  }
  return took.length === 0 ? null : took.reduce((sum, one) => sum + one, 0) / took.length
}

/** The board of a run. Counts are of everyone; rows and honours only of those who agreed to be shown. */
export function makeBoard(run: RunView, calls: readonly ClubCall[], parts: readonly Part[]): Board {
  const counts = new Array<number>(BINS).fill(0)
  let [early, onTime, late, missed] = [0, 0, 0, 0]
  const rows: BoardRow[] = []
  let bestRecovery: Board['bestRecovery'] = null
  let mostSteady: Board['mostSteady'] = null
  let unnamed = 0
  const votes = { verbose: 0, terse: 0 }
  for (const part of parts) {
    if (part.vote) votes[part.vote] += 1
    const errors = [...part.errors.values()]
    if (errors.length === 0 && part.questions === 0) continue
    for (const error of errors) {
      counts[Math.max(0, Math.min(BINS - 1, Math.floor((error - FROM) / BIN)))]! += 1
      if (error < -ON_TIME) early += 1
      else if (error > ON_TIME) late += 1
      else onTime += 1
    }
    const gone = errors.length === 0 ? 0 : part.asked.filter((call) => !part.errors.has(call)).length
    missed += gone
    if (!part.shown) {
      unnamed += 1
      continue
    }
    const { mean, spread } = spreadOf(errors)
    rows.push({
      name: part.name,
      taps: errors.length,
      missed: gone,
      mean,
      spread,
      right: part.right,
      asked: part.questions,
    })
    if (spread !== null && errors.length >= STEADY_TAPS && spread < (mostSteady?.spread ?? Number.POSITIVE_INFINITY))
      mostSteady = { name: part.name, spread }
    const recovery = errors.length === 0 ? null : recoveryOf(calls, part)
    if (recovery !== null && recovery < (bestRecovery?.seconds ?? Number.POSITIVE_INFINITY))
      bestRecovery = { name: part.name, seconds: recovery }
  }
  rows.sort(
    (a, b) =>
      b.right - a.right ||
      (a.spread ?? Number.POSITIVE_INFINITY) - (b.spread ?? Number.POSITIVE_INFINITY) ||
      b.taps - a.taps ||
      a.name.localeCompare(b.name, 'en'),
  )
  return {
    run: run.id,
    mode: run.mode,
    title: run.title,
    histogram: { from: FROM, step: BIN, counts },
    early,
    onTime,
    late,
    missed,
    rows,
    unnamed,
    bestRecovery,
    mostSteady,
    votes: run.mode === 'vote' ? votes : null,
  }
}
