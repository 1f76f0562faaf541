import type { Sound } from './wav.ts'

/** Frames of sound looked at, seconds. */
const FRAME = 0.005
/** Below the loudest frame by more than this is no longer the word, dB [chosen]. */
const BELOW = 34
/** Below this of full scale nothing is a word: the quietest trimClip hears. */
const QUIET = 130
/** A pause longer than this parts two utterances, seconds [chosen]: stops inside a word are shorter. */
const PAUSE = 0.25

export interface Stretch {
  /** Samples [from, to). */
  readonly from: number
  readonly to: number
}

/**
 * Where an utterance is in a recording: of the stretches of sound parted by a quarter of a second, the one with most energy; one cut off
 * at an edge only where no whole one has a tenth of its energy. Sound is what is within 34 dB of
 * the loudest 5 ms and three times above the quietest tenth of frames. Null when nothing is loud enough.
 */
export function audiblePart({ samples, sampleRate }: Sound): Stretch | null {
  const hop = Math.max(1, Math.round(FRAME * sampleRate))
  const frames = Math.floor(samples.length / hop)
  const size = new Float64Array(frames)
  for (let f = 0; f < frames; f++) {
    let sum = 0
    for (let i = f * hop; i < (f + 1) * hop; i++) sum += samples[i]! ** 2
    size[f] = Math.sqrt(sum / hop)
  }
  if (frames === 0) return null
  const sorted = size.slice().sort()
  const loudest = sorted[frames - 1]!
  const floor = sorted[Math.floor(frames / 10)]!
  // A recording without a pause has no floor to tell: then the loudest decides alone.
  const noise = floor * 3 < loudest ? floor * 3 : 0
  const least = Math.max(QUIET, loudest * 10 ** (-BELOW / 20), noise)
  if (loudest < least) return null
  const pause = PAUSE / FRAME
  let best: { from: number; to: number; worth: number } | null = null
  for (let f = 0; f < frames; f++) {
    if (size[f]! < least) continue
    const from = f
    let last = f
    let energy = 0
    for (; f < frames && f - last <= pause; f++) {
      energy += size[f]! ** 2
      if (size[f]! >= least) last = f
    }
    const whole = from > 0 && last + 1 < frames
    const worth = whole ? energy * 10 : energy
    if (best === null || worth > best.worth) best = { from, to: last + 1, worth }
  }
  return best && { from: best.from * hop, to: Math.min(samples.length, best.to * hop) }
}
