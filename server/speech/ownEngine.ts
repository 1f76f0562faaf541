import type { Seconds } from '../units.ts'
import { alignWords } from './alignWords.ts'
import { joinPieces } from './joinPieces.ts'
import { resample } from './resample.ts'
import { type SpeechEngine, SpeechError, type SpeechRequest, type SpokenClip } from './speechEngine.ts'
import type { Sound } from './wav.ts'

/** Recordings by the words said, joined by spaces. */
export interface Recordings {
  has(words: string): boolean
  /** The recording of these words; null when it cannot be read. */
  sound(words: string): Promise<Sound | null>
}

/** A stretch of a call: recorded, or left to the voice that stands in. [from, to) of the words. */
export interface Cover {
  readonly from: number
  readonly to: number
  readonly recorded: boolean
}

/** Longest phrase looked for, words. */
const LONGEST = 6

/** A call covered by recordings: as many of its words as can be, then with the fewest pieces, so that phrases go before words. Missing words stand together. */
export function coverWords(words: readonly string[], has: (words: string) => boolean): Cover[] {
  const best: { missing: number; pieces: number; from: number; recorded: boolean }[] = [
    { missing: 0, pieces: 0, from: 0, recorded: false },
  ]
  for (let to = 1; to <= words.length; to++) {
    const before = best[to - 1]!
    let least = { missing: before.missing + 1, pieces: before.pieces + 1, from: to - 1, recorded: false }
    for (let from = Math.max(0, to - LONGEST); from < to; from++) {
      if (!has(words.slice(from, to).join(' '))) continue
      const { missing, pieces } = best[from]!
      if (missing < least.missing || (missing === least.missing && pieces + 1 < least.pieces))
        least = { missing, pieces: pieces + 1, from, recorded: true }
    }
    best[to] = least
  }
  const covers: Cover[] = []
  for (let to = words.length; to > 0; to = best[to]!.from) {
    const { from, recorded } = best[to]!
    const next = covers[0]
    if (!recorded && next && !next.recorded) covers[0] = { ...next, from }
    else covers.unshift({ from, to, recorded })
  }
  return covers
}

/**
 * A crew's own voice from recorded words and phrases, missing words said by `standIn`. Its pace is the recording's: the rate asked for reaches only the words
 * that stand in. Ends of single words are known to the sample; those inside a recorded phrase are estimated, and the clip says so.
 */
export function openOwnEngine(recordings: Recordings, standIn: SpeechEngine, standInVoice: string): SpeechEngine {
  return {
    name: 'own',
    makesClips: true,
    voices: async () => [{ id: `own:${standInVoice}`, name: 'your own voice', language: '' }],
    async speak(request: SpeechRequest): Promise<SpokenClip> {
      if (request.words.length === 0) throw new SpeechError('A call without words cannot be spoken.')
      const covers = coverWords(request.words, (words) => recordings.has(words))
      const said = await Promise.all(covers.map((cover) => piece(cover, request)))
      const joined = joinPieces(said.map(({ sound }) => sound))
      const wordEnds: Seconds[] = []
      said.forEach(({ ends }, p) => {
        const { from, to } = joined.spans[p]!
        ends.forEach((end, w) => {
          wordEnds.push(w === ends.length - 1 ? to : Math.max(wordEnds.at(-1) ?? 0, Math.min(to, from + end)))
        })
      })
      wordEnds[wordEnds.length - 1] = joined.samples.length / joined.sampleRate
      const timing = said.every((one) => one.known) ? 'engine' : 'estimated'
      return { sampleRate: joined.sampleRate, samples: joined.samples, wordEnds, timing }
    },
    async close() {},
  }

  async function piece(cover: Cover, request: SpeechRequest) {
    const words = request.words.slice(cover.from, cover.to)
    const recorded = cover.recorded ? await recordings.sound(words.join(' ')) : null
    if (recorded) {
      const sound = resample(recorded, RATE)
      return { sound, ends: alignWords(words, sound), known: words.length === 1 }
    }
    const clip = await standIn.speak({ ...request, words, voice: standInVoice })
    return { sound: resample(clip, RATE), ends: clip.wordEnds, known: clip.timing === 'engine' }
  }
}

/** Rate of joined clips, Hz: that of the voice that stands in. */
export const RATE = 22050
