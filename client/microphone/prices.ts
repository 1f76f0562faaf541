/**
 * What the search of align pays for, in the same unit as its distances: mean over bands of |Δ ln(power)|, bounded, times `distance`.
 * Set on synthetic readers [measured: docs/method/reading.md].
 */
export interface Prices {
  /** Weight of a distance, and the most one band may differ. */
  readonly distance: number
  readonly most: number
  /** Silence against sound, in distances. */
  readonly silence: number
  /** Anything else the reader says, breathes or knocks: base, slope in distances, and once to begin. */
  readonly otherBase: number
  readonly otherSlope: number
  readonly otherBegin: number
  readonly stay: number
  readonly skip: number
  readonly pauseBegin: number
  readonly pauseStay: number
  /** One call of the plan left out. */
  readonly leaveOut: number
  /** Seconds: spread of starts about the running offset. With r in spreads the price is tail·ln(1 + r²/(2·tail)): r²/2 when near, slow to grow when far. */
  readonly spread: number
  readonly tail: number
  /** The running offset follows residuals by this share, clipped to ±1 s; it stays within ±offsetMost. */
  readonly follow: number
  readonly offsetMost: number
  readonly again: number
  readonly againWithin: number
  readonly corrected: number
  readonly correctedAfter: number
  /** A breath between two calls, seconds. */
  readonly breath: number
  readonly openBefore: number
  readonly openAfter: number
  readonly giveUpAfter: number
  readonly beam: number
}

export const PRICES: Prices = {
  distance: 0.7,
  most: 2.5,
  silence: 1.6,
  otherBase: 0.15,
  otherSlope: 1.05,
  otherBegin: 2,
  stay: 0.25,
  skip: 0.25,
  pauseBegin: 0.6,
  pauseStay: 0.15,
  leaveOut: 4,
  spread: 0.6,
  tail: 2.5,
  follow: 0.1,
  offsetMost: 2.5,
  again: 2.5,
  againWithin: 1.2,
  corrected: 3.5,
  correctedAfter: 0.25,
  breath: 0.08,
  openBefore: 7,
  openAfter: 9,
  giveUpAfter: 3,
  beam: 120,
}
