import type { Rehearsal } from '../rehearsal/stage.ts'
import type { Cue } from '../speech/cues.ts'
import type { Seconds } from '../units.ts'

/**
 * Captions of a run, `offset` seconds later than `spans` say; `spans` are parallel to plan.calls. A call that would end before 0 is left out and counted, one
 * that would begin before 0 is cut to it. For an on-board video the spans are stage times and the offset is where the car leaves in the video.
 */
export function runCues(
  rehearsal: Rehearsal,
  spans: readonly { readonly from: Seconds; readonly to: Seconds }[],
  offset: Seconds,
): { cues: Cue[]; dropped: number } {
  if (spans.length !== rehearsal.said.length)
    throw new RangeError(`runCues: ${spans.length} spans for ${rehearsal.said.length} calls`)
  const cues: Cue[] = []
  let dropped = 0
  spans.forEach(({ from, to }, i) => {
    const [start, end] = [Math.max(0, from + offset), to + offset]
    if (end > start) cues.push({ start, end, text: rehearsal.said[i]!.say })
    else dropped++
  })
  return { cues, dropped }
}
