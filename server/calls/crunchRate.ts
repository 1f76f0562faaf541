import type { CallWindow } from './plan.ts'

const ROUNDING = 1e-9
const PASSES = 200

/**
 * Least multiple of the present speaking rate at which a run of calls fits; 1 when it fits already, null when no rate helps.
 * Lengths less their gap, and word ends, are multiplied by s = 1/r. With C(s) = Σ g + s Σ (c − g),
 *   V(s) = max over i ≤ j, q of (E_i − C_i(s)) − (D_jq − C_j(s) − s·o_jq)
 * is a maximum of lines, so Newton from s = 1 only moves left, never past the root, and ends (scheduling.md §5).
 */
export function crunchRate(windows: readonly CallWindow[]): number | null {
  let s = 1
  for (let pass = 0; pass < PASSES; pass++) {
    const worst = worstPair(windows, s)
    if (worst.over <= ROUNDING) return 1 / s
    // V falls with s only through spoken seconds; what is left at s = 0 must fit in the room there is.
    if (worst.spoken <= ROUNDING || worst.room <= ROUNDING) return null
    s = worst.room / worst.spoken
  }
  return null
}

/** The pair that is over the most at s: over = s·spoken − room. */
function worstPair(windows: readonly CallWindow[], s: number): { over: number; spoken: number; room: number } {
  let worst = { over: Number.NEGATIVE_INFINITY, spoken: 0, room: 0 }
  let gaps = 0
  let spoken = 0
  let early = Number.NEGATIVE_INFINITY
  let earlyAt = { earliest: 0, gaps: 0, spoken: 0 }
  for (const window of windows) {
    const own = window.earliest - gaps - s * spoken
    if (own > early) {
      early = own
      earlyAt = { earliest: window.earliest, gaps, spoken }
    }
    const terms = window.terms?.length ? window.terms : [{ end: 0, deadline: window.latest }]
    for (const term of terms) {
      const over = early - (term.deadline - gaps - s * (spoken + term.end))
      if (over > worst.over) {
        worst = {
          over,
          spoken: spoken - earlyAt.spoken + term.end,
          room: term.deadline - earlyAt.earliest - (gaps - earlyAt.gaps),
        }
      }
    }
    const gap = window.gap ?? 0
    gaps += gap
    spoken += window.length - gap
  }
  return worst
}
