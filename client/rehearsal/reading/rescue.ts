import type { StageTime } from '../../../server/units.ts'

/** The voice comes to help this long after a call's latest start, seconds. */
const AFTER = 1

/**
 * Position of the call that the voice should say for a reader who has not begun it: more than a second past its latest start, while saying it is still of use (before its act-by), neither
 * heard nor rescued before, and nothing after it heard. `clips`: the voice's sound of each, parallel; a call without is passed over. Null for none.
 */
export function callToRescue(
  calls: readonly { readonly index: number; readonly start: number; readonly latest: number; readonly actBy: number }[],
  clips: readonly (string | null)[],
  heard: ReadonlySet<number> | ReadonlyMap<number, unknown>,
  rescued: readonly number[],
  now: StageTime,
): number | null {
  for (const [i, call] of calls.entries()) {
    if (clips[i] === null) continue
    if (now < call.latest + AFTER || now > call.actBy) continue
    if (heard.has(call.index) || rescued.includes(call.index)) continue
    if (calls.some((one) => one.start > call.start && heard.has(one.index))) continue
    return i
  }
  return null
}
