import { syllable } from 'syllable'
import type { Seconds } from '../units.ts'

/**
 * Length of words by syllables, for planning at once while the voice is still being prepared: seconds = (a + b·syllables + c·words)·200/rate.
 * Constants fitted by least squares on clips of the embedded voice `en` at 200 (see `npm run bench -- speech`); lengths are measured once clips are there.
 */
export const ESTIMATE = { a: 0.06, b: 0.136, c: 0.05 }

export function estimateDuration(words: readonly string[], rate: number): Seconds {
  if (!(rate > 0)) throw new RangeError(`estimateDuration: rate must be > 0, got ${rate}`)
  const syllables = words.reduce((sum, word) => sum + Math.max(1, syllable(word)), 0)
  return ((ESTIMATE.a + ESTIMATE.b * syllables + ESTIMATE.c * words.length) * 200) / rate
}
