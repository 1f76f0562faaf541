import type { Cue } from '../speech/cues.ts'
import { type RunSound, renderRun } from '../speech/renderRun.ts'
import type { SpokenClip } from '../speech/speechEngine.ts'
import type { Rehearsal } from './stage.ts'

/** A planned run as one sound, every call at its moment, silence between; the very clips that were measured. Throws when a clip is gone. */
export async function soundOfRun(
  rehearsal: Rehearsal,
  clipOf: (hash: string) => Promise<SpokenClip | null>,
): Promise<RunSound> {
  const calls = await Promise.all(
    rehearsal.plan.calls.map(async (call, i) => {
      const hash = rehearsal.said[i]!.clip
      const clip = hash === null ? null : await clipOf(hash)
      if (clip === null) throw new RangeError(`soundOfRun: call ${call.index} has no clip; prepare the voice first`)
      return { start: call.start, clip }
    }),
  )
  return renderRun(calls, { until: rehearsal.profile.duration })
}

/** Captions of a run on the sound's own clock, `offset` seconds later. Calls that would begin before 0 are cut to it. */
export function cuesOfRun(rehearsal: Rehearsal, from: number, offset = 0): Cue[] {
  return rehearsal.plan.calls.flatMap((call, i) => {
    const start = Math.max(0, call.start - from + offset)
    const end = call.end - from + offset
    return end > start ? [{ start, end, text: rehearsal.said[i]!.say }] : []
  })
}
