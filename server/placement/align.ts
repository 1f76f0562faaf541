import { bestPath } from './bestPath.ts'
import { type AlignInput, groundOf, latticeOf } from './lattice.ts'
import { forward } from './passes.ts'
import { posteriors } from './posteriors.ts'
import { windowsOf } from './windows.ts'

export type { AlignInput, Place } from './lattice.ts'

/** A way a call can be placed, with its posterior: on these places, alone or sharing them with the call before (−1) or after (1). */
export interface CallNode {
  readonly places: readonly number[]
  readonly mate: -1 | 0 | 1
  readonly mass: number
}

export interface Alignment {
  /** Places of each call in the best alignment; [] when none. */
  readonly places: readonly (readonly number[])[]
  /** Whether a call shares its place with the call before (−1) or after (1) in the best alignment. */
  readonly mates: readonly (-1 | 0 | 1)[]
  /** Every way worth a mention of placing each call; what is left of 1 is the chance that the call is on no place. */
  readonly nodes: readonly (readonly CallNode[])[]
  /** Probability that some call is on each place. */
  readonly called: Float64Array
  /** ln of the evidence. −∞ when nothing fits, which only contradicting anchors can bring about. */
  readonly evidence: number
}

/**
 * Exact inference over calls × places (docs/method/placement.md): monotone, with 1–1, 1–2, 1–3 and 2–1 moves, prices for skipping either side, and the
 * lost chain, which lets any later place follow at the price of an outlier. Best path by maximum, confidence by sums. Exact within the windows
 * of `windowsOf`. O(calls × places of a window).
 */
export function align(input: AlignInput): Alignment {
  const ground = groundOf(input)
  const { lo, hi } = windowsOf(input, ground)
  const lattice = latticeOf(input, ground, lo, hi)
  const sum = forward(lattice, true)
  const evidence = sum.end[lattice.size - 1]!
  const { places, mates } = bestPath(lattice, forward(lattice, false))
  return { places, mates, evidence, ...posteriors(lattice, sum, evidence) }
}
