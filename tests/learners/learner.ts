/** How a call was met, as a trace takes it. */
export type Meeting = 'heard' | 'recalled' | 'missed in a ride' | 'missed alone'

/** Worth of a meeting against one successful recall (docs/method/learning.md; ours, not from a source). */
export const WORTH: Readonly<Record<Meeting, number>> = {
  heard: 0.35,
  recalled: 1,
  'missed in a ride': 0.7,
  'missed alone': 0.9,
}

/** A simulated person. Times are seconds since 1970; `tick` says how the time between two moments is counted. */
export interface Learner {
  /** In practice until `to`; from the end of one session to the start of the next use `rest`. */
  practise(to: number): void
  rest(to: number): void
  /** A call met now; `chained`: with the call before it heard or recalled just before. */
  meet(call: number, how: Meeting, chained: boolean): void
  /** Chance of recall now, `chained` as above. */
  chance(call: number, chained: boolean): number
  /** Seconds an answer takes now; only asked of what is recalled. */
  latency(call: number, chained: boolean): number
}

/** Answers are in time within this long (docs/method/learning.md). */
export const IN_TIME = 1.8
