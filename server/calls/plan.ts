import type { Metres, MetresPerSecond, Seconds, StageTime } from '../units.ts'

/** Settings of windows.md §5; defaults in defaults.ts. Seconds and counts. */
export interface CallSettings {
  readonly reaction: Seconds
  readonly preparation: Seconds
  /** Moments of action that may wait besides the call being said. */
  readonly waiting: number
  /** Greatest time from the start of a call to the next act-by. */
  readonly ahead: Seconds
  readonly lead: Seconds
  /** Breath after each call. */
  readonly gap: Seconds
  /** Seconds before the start line is crossed at which reading may begin. */
  readonly before: Seconds
  /** 'role': each element by its own moment; 'strict': all modifiers by brake onset. */
  readonly deadlines: 'role' | 'strict'
}

/** How long a call takes to say: per element the end of its last word after the call's start; null when it is not said. */
export interface CallDuration {
  readonly duration: Seconds
  readonly elementEnds: readonly (Seconds | null)[]
}

/** What schedule() needs of a call; the window of its start, on the stage clock. */
export interface CallWindow {
  /** Spoken length including the gap after it, > 0. */
  readonly length: Seconds
  readonly earliest: StageTime
  readonly latest: StageTime
  readonly preferred: StageTime
  /** > 0. */
  readonly weight: number
  /** Words with a deadline: `end` after the call's start, `deadline` on the stage clock. Absent or empty: one term, the latest start itself. */
  readonly terms?: readonly { readonly end: Seconds; readonly deadline: StageTime }[]
  /** Part of `length` that stays when the call is read faster; absent is 0. */
  readonly gap?: Seconds
}

export interface ElementWindow {
  readonly text: string
  readonly station: Metres
  /** Moment the driver must act; null for links, which carry no deadline. */
  readonly actBy: StageTime | null
  readonly deadline: StageTime | null
  /** End of the element's last word in the plan; null when this wording leaves it out. */
  readonly spokenAt: StageTime | null
}

export interface PlannedCall {
  readonly index: number
  readonly text: string
  /** Where the call's feature begins. */
  readonly station: Metres
  readonly start: StageTime
  /** Without the gap. */
  readonly end: StageTime
  readonly earliest: StageTime
  readonly latest: StageTime
  readonly preferred: StageTime
  readonly weight: number
  readonly late: Seconds
  /** How much later it could start without making any call later than it is; >= 0. */
  readonly slack: Seconds
  /** When the driver must act for the call as a whole. */
  readonly actBy: StageTime
  readonly elements: readonly ElementWindow[]
}

export interface Crunch {
  readonly first: number
  readonly last: number
  /** Worst lateness in the range. */
  readonly over: Seconds
  /** Speaking rate, as a multiple of the present one, at which the range would fit; null when none does. */
  readonly rate: number | null
  /** So little over that it is shown as "tight", not as a crunch (windows.md §5). */
  readonly tight?: boolean
  /** The pair of calls that cannot both be served. */
  readonly core: readonly [number, number]
}

export interface Ceiling {
  readonly averageSpeed: MetresPerSecond
  /** The calls that bind. */
  readonly first: number
  readonly last: number
  /** 'closed form' while all speeds are scaled alike; 'solved' once found on re-solved profiles. */
  readonly method: 'closed form' | 'solved'
}

export interface CallPlan {
  readonly gap: Seconds
  readonly calls: readonly PlannedCall[]
  readonly crunches: readonly Crunch[]
  readonly ceiling: Ceiling | null
}
