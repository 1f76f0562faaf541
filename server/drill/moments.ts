import type { MetresPerSecond } from '../units.ts'

export interface CallWeight {
  /** Speed lost from the fastest point since the call before down to the slowest at the call's place. */
  readonly speedLost: MetresPerSecond
  /** Degree of its gravest warning, 0…3. */
  readonly danger: number
  /** The audit of notes against road has something to say here. */
  readonly doubtful: boolean
}

/** A caution is worth a third of the greatest slowing on the stage, a doubt as much (ours, not from a source). */
const DANGER = 1 / 3
const DOUBT = 1 / 3

/** The calls that shape a stage, in road order: at most `count`, by speed lost, danger words and the audit. Calls that matter for nothing are left out. */
export function chooseMoments(calls: readonly CallWeight[], count = 10): number[] {
  const most = Math.max(1e-9, ...calls.map((call) => call.speedLost))
  return calls
    .map((call, index) => ({
      index,
      worth: call.speedLost / most + DANGER * call.danger + (call.doubtful ? DOUBT : 0),
    }))
    .filter((one) => one.worth > 0.05)
    .sort((a, b) => b.worth - a.worth || a.index - b.index)
    .slice(0, count)
    .map((one) => one.index)
    .sort((a, b) => a - b)
}
