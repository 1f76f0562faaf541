import type { Seconds, StageTime } from '../units.ts'
import type { TakeCall } from './scoreTake.ts'

/** What a driver did with a call: pressed when they would act. */
export interface ActedCall {
  readonly index: number
  readonly say: string
  readonly station: number
  readonly press: StageTime | null
  /** press − end of the call's words: how long it took to act on it; null without a press. */
  readonly reaction: Seconds | null
  /** press − act-by: below 0 in time. */
  readonly afterActBy: Seconds | null
}

/** A press belongs to the call whose words it follows: from this much before the call's end to this much after its act-by. */
const BEFORE: Seconds = 0.5
const AFTER: Seconds = 2.5

/** Presses against act-by, in order: each press to the first call open that has none yet. Calls after `until` are left out. */
export function scorePresses(calls: readonly TakeCall[], presses: readonly StageTime[], until: StageTime): ActedCall[] {
  const left = [...presses].sort((a, b) => a - b)
  return calls
    .filter((call) => call.actBy <= until)
    .map((call) => {
      const at = left.findIndex((press) => press >= call.start + BEFORE && press <= call.actBy + AFTER)
      const press = at < 0 ? null : left.splice(0, at + 1).at(-1)!
      return {
        index: call.index,
        say: call.say,
        station: call.station,
        press,
        reaction: press === null ? null : press - call.end,
        afterActBy: press === null ? null : press - call.actBy,
      }
    })
}
