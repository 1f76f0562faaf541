import { callWindows, type TimedWindow } from './callWindows.ts'
import type { CallDuration } from './plan.ts'
import { type PlanInput, timedCallsOf, wholeWindows } from './planCalls.ts'
import { chooseWording, type WordingChoice } from './wordingChoice.ts'

/** How a call could be said in one wording, and what is lost by it: a small whole number. */
export interface SaidOption extends CallDuration {
  readonly loss: number
}

/**
 * One wording for each call: no call late where that can be, else as little as can be, and then as few words lost as can be.
 * `options[m]` is wording m for every call read, parallel to the calls; list the one preferred first. A call that must not lose words
 * (pinned) carries the same option in every wording. `critical[i]`: its lateness counts before that of others.
 * Returns the index of the wording of each call, in whole milliseconds (scheduling.md §7).
 */
export function automaticWording(
  q: Omit<PlanInput, 'durations'> & {
    readonly options: readonly (readonly SaidOption[])[]
    readonly critical?: readonly boolean[]
  },
): WordingChoice {
  if (q.options.length === 0) throw new RangeError('automaticWording: no wording to choose from')
  const perWording = q.options.map((durations) => {
    const { timed } = timedCallsOf({ ...q, durations })
    const windows: TimedWindow[] = callWindows(timed, durations, q.profile, q.settings)
    return wholeWindows(windows, durations, q.settings)
  })
  const calls = perWording[0]!.length
  const options = Array.from({ length: calls }, (_, i) =>
    perWording.map((windows, m) => ({ ...windows[i]!, loss: q.options[m]![i]!.loss })),
  )
  const MS = 1000
  const found = chooseWording(options, q.critical)
  return { ...found, criticalLate: found.criticalLate / MS, otherLate: found.otherLate / MS }
}
