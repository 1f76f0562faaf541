import type { Seconds, StageTime } from '../units.ts'
import type { ClubCall } from './clubPlan.ts'

/** A tap belongs to no call that starts further away than this. */
export const REACH: Seconds = 3
/** Within this of the planned start a tap counts as on time: half of the one-second steps in which drivers are heard to judge calls (common practice, no source). */
export const ON_TIME: Seconds = 0.5

export interface ScoredTap {
  readonly call: number
  /** Seconds after the call's planned start; early is negative. */
  readonly error: Seconds
}

/**
 * The call a tap at stage time `pos` is for: of those not tapped yet, the one whose start is nearest, within reach; null when there is none. An earlier call
 * wins where two are as near. `calls` sorted by start.
 */
export function placeTap(calls: readonly ClubCall[], tapped: ReadonlySet<number>, pos: StageTime): ScoredTap | null {
  if (!Number.isFinite(pos)) throw new RangeError(`placeTap: pos ${pos}`)
  let best: ScoredTap | null = null
  for (const call of calls) {
    if (call.start > pos + REACH) break
    const error = pos - call.start
    if (error > REACH || tapped.has(call.index)) continue
    if (best === null || Math.abs(error) < Math.abs(best.error)) best = { call: call.index, error }
  }
  return best
}

/** Mean and standard deviation (n − 1); null where there are too few. */
export function spreadOf(errors: readonly Seconds[]): { mean: Seconds | null; spread: Seconds | null } {
  if (errors.length === 0) return { mean: null, spread: null }
  const mean = errors.reduce((sum, one) => sum + one, 0) / errors.length
  if (errors.length < 2) return { mean, spread: null }
  const squares = errors.reduce((sum, one) => sum + (one - mean) ** 2, 0)
  return { mean, spread: Math.sqrt(squares / (errors.length - 1)) }
}
