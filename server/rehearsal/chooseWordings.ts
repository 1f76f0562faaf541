import { automaticWording } from '../calls/automaticWording.ts'
import { lossOf } from '../notes/wordings.ts'
import type { SpeedProfile } from '../speed/speed.ts'
import type { PreparedStage, RunSettings, SaidCall } from './stage.ts'

/**
 * A wording for each call: nothing late where that can be, then as few words lost as can be. `options[m]` is every call in wording m, the fullest first.
 * Calls with no words in some wording, or outside the run, keep the first. Calls that warn are critical: their lateness counts before that of others.
 */
export function chooseWordings(q: {
  stage: PreparedStage
  run: RunSettings
  profile: SpeedProfile
  options: readonly (readonly SaidCall[])[]
}): SaidCall[] {
  const { stage, run, profile, options } = q
  const read = stage.notes.calls
    .map((call) => call.index)
    .filter((call) => {
      const { from } = stage.placement.calls[call]!
      return from >= run.from && from < run.to && options.every((wording) => wording[call]!.words > 0)
    })
  const result = [...options[0]!]
  if (read.length === 0) return result
  const { choice } = automaticWording({
    notes: stage.notes,
    placement: stage.placement,
    profile,
    settings: run.calls,
    calls: read,
    options: options.map((wording) => read.map((call) => ({ ...wording[call]!, loss: lossIn(stage, wording[call]!) }))),
    critical: read.map((call) => stage.notes.calls[call]!.elements.some((element) => element.meaning.is === 'warning')),
  })
  read.forEach((call, i) => {
    result[call] = options[choice[i]!]![call]!
  })
  return result
}

/** Words left out, by what each costs a driver; fewer words for the same elements cost one. */
function lossIn(stage: PreparedStage, said: SaidCall): number {
  const { elements } = stage.notes.calls[said.call]!
  const dropped = said.dropped.reduce((sum, e) => sum + lossOf(elements[e]!), 0)
  return dropped + (said.wording === 'verbose' ? 0 : 1)
}
