import type { Seconds } from '../units.ts'
import { estimateDuration } from './estimateDuration.ts'
import type { Sound } from './wav.ts'

const FRAME: Seconds = 0.01
/** An end is looked for this far about where lengths put it, as a share of the words beside it [chosen]. */
const ABOUT = 0.3

/**
 * Estimated end of each word of a clip whose engine tells none: words share the clip in proportion to their estimated lengths, then each inner end moves to
 * the quietest 10 ms about there. Non-decreasing; the last is the clip's length. Mark such a clip 'estimated'.
 */
export function alignWords(words: readonly string[], sound: Sound): Seconds[] {
  const duration = sound.samples.length / sound.sampleRate
  const lengths = words.map((word) => estimateDuration([word], 200))
  const all = lengths.reduce((sum, length) => sum + length, 0)
  const ends: Seconds[] = []
  let end = 0
  for (let w = 0; w < words.length; w++) {
    const length = (lengths[w]! * duration) / all
    const next = ((lengths[w + 1] ?? 0) * duration) / all
    end += length
    const moved = w === words.length - 1 ? duration : quietest(sound, end - ABOUT * length, end + ABOUT * next)
    ends.push(Math.max(ends.at(-1) ?? 0, moved))
  }
  return ends
}

function quietest({ samples, sampleRate }: Sound, from: Seconds, to: Seconds): Seconds {
  const hop = Math.max(1, Math.round(FRAME * sampleRate))
  let best = Math.round(((from + to) / 2) * sampleRate)
  let least = Number.POSITIVE_INFINITY
  for (
    let at = Math.max(0, Math.round(from * sampleRate));
    at + hop <= Math.min(samples.length, to * sampleRate);
    at += hop
  ) {
    let sum = 0
    for (let i = at; i < at + hop; i++) sum += samples[i]! ** 2
    if (sum < least) {
      least = sum
      best = at + hop / 2
    }
  }
  return best / sampleRate
}
