import type { EpochTime, Seconds } from '../units.ts'

/**
 * What is asked about a call. `say`: what is said here, from the road's look and the call before. `follows`: the next call. `tightens`: what the corner
 * does after its start. `order`: the calls of a section, in order. `moment`: which of the stage's ten moments comes next.
 */
export type ItemKind = 'say' | 'follows' | 'tightens' | 'order' | 'moment'

/** In time: said before the latest start. Late: right, but after it. No: wrong or silent. */
export type Grade = 'in time' | 'late' | 'no'

/**
 * How a call was met. `listen`: heard, nothing asked. `edited`: its words were changed under it. The rest are answers: by microphone, judged by the crew
 * themselves, typed, or chosen among four.
 */
export type How = 'listen' | 'voice' | 'self' | 'typed' | 'chosen' | 'edited'

/** A line of the log, never changed once written. */
export interface Review {
  /** Made where the answer was given, so that a log merged twice counts once. */
  readonly id: string
  readonly item: string
  /** Which copy of the library wrote it, and its place in that copy's own order: the order holds even when a clock was set back. */
  readonly device: string
  readonly turn: number
  readonly at: EpochTime
  readonly how: How
  /** Null for a listen, an edit, or an answer nobody could judge: its time still counts. */
  readonly grade: Grade | null
}

/** State of one item's memory: FSRS stability (days) and difficulty, when it was last graded and last met, and plain counts. */
export interface Memory {
  readonly stability: number
  readonly difficulty: number
  readonly graded: EpochTime
  readonly met: EpochTime
  readonly successes: number
  /** Failures and listens. */
  readonly others: number
}

/** A graded answer as the forecast learns from it: what was known about the item just before, and how it went. */
export interface Evidence {
  readonly recalled: boolean
  readonly inTime: boolean
  readonly features: Features
}

/** Five numbers of an item at a moment: see forecastHead. */
export type Features = readonly [number, number, number, number, number]

/** A place in local time: what a crew writes in its diary. */
export interface LocalMoment {
  /** YYYY-MM-DD */
  readonly date: string
  /** HH:MM */
  readonly time: string
  /** IANA zone, e.g. "Europe/London". */
  readonly zone: string
}

/** One stretch of a session: calls [from, to) ridden in order. */
export interface Stretch {
  readonly from: number
  readonly to: number
  readonly way: 'listen' | 'recall'
  readonly pace: 'full' | 'condensed'
  readonly seconds: Seconds
}

/** A ride's costs: seconds each call takes at full stage time and with the empty seconds cut. Same length, every one > 0. */
export interface RideCosts {
  readonly full: readonly Seconds[]
  readonly condensed: readonly Seconds[]
}

export const DAY: Seconds = 86_400
