import { forcedCost } from '../../microphone/confidence.ts'
import { BANDS, FRAME_SECONDS, melFramesOf } from '../../microphone/melFrames.ts'
import { excessOver, surroundingsOf } from '../../microphone/surroundings.ts'
import type { Script } from '../../microphone/templates.ts'

/**
 * Above RIGHT the call due was said, below WRONG another one; between them nobody can tell [measured: docs/method/learning.md]. Costs a frame, as in
 * confidenceOf.
 */
export const RIGHT = 0.01
export const WRONG = -0.04

/** Speech goes on through pauses this short, frames: 0.2 s. */
const PAUSE = 10
/** Quieter than this share of what was said is not speech. */
const QUIET = 0.15
/** What was said reaches no further than so many frames beyond where the call was told: 1.5 s. */
const BEYOND = 75

/**
 * How much better the call due explains what was said than any other call of the stage with another meaning: least cost of those − least of its own, a frame.
 * `sound` at 16 kHz, full scale ±1; the call was told at seconds [from, to) of it, and is sought in the whole utterance round that. `meanings` parallel to
 * the script's templates. Infinity where no other has another meaning.
 */
export function recallMargin(
  q: { readonly sound: Float32Array; readonly from: number; readonly to: number; readonly due: number },
  script: Script,
  meanings: readonly string[],
): number {
  const frames = melFramesOf(q.sound)
  const { masks, level, scale } = surroundingsOf(frames)
  const stretch = { frames, masks, shift: level.map((v, b) => v - script.level[b]!), scale }
  const { from, to } = utterance(frames, masks, Math.round(q.from / FRAME_SECONDS), Math.round(q.to / FRAME_SECONDS))
  let own = Number.POSITIVE_INFINITY
  let other = Number.POSITIVE_INFINITY
  script.templates.forEach((template, i) => {
    const cost = forcedCost(stretch, from, to, template)
    if (meanings[i] === meanings[q.due]) own = Math.min(own, cost)
    else other = Math.min(other, cost)
  })
  // Neither can be laid on so short a sound: nobody can tell.
  return own === other ? 0 : other - own
}

/** Frames of the utterance round [from, to): grown while there is speech, over short pauses; then shrunk to speech. */
export function utterance(
  frames: Float32Array,
  masks: Float32Array,
  from: number,
  to: number,
): { from: number; to: number } {
  const count = frames.length / BANDS
  const loud = (f: number) => excessOver(frames, f * BANDS, masks, f * BANDS)
  let most = 0
  for (let f = Math.max(0, from); f < Math.min(count, to); f++) most = Math.max(most, loud(f))
  const speech = (f: number) => f >= 0 && f < count && loud(f) > QUIET * most
  const grow = (at: number, way: 1 | -1) => {
    let last = at
    for (let f = at; Math.abs(f - at) <= BEYOND && Math.abs(f - last) <= PAUSE; f += way) if (speech(f)) last = f
    return last
  }
  let [first, last] = [grow(Math.max(0, from), -1), grow(Math.min(count, to) - 1, 1)]
  while (first < last && !speech(first)) first++
  while (last > first && !speech(last)) last--
  return { from: first, to: last + 1 }
}
