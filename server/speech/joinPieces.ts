import type { Seconds } from '../units.ts'
import { audiblePart } from './audiblePart.ts'
import { meanLoudness } from './loudness.ts'
import type { Sound } from './wav.ts'

/** Silence between two joined pieces, from the end of one's sound to the start of the next's [chosen: quick reading runs words together]. */
export const JOIN_GAP: Seconds = 0.04
/** What is kept before and after a piece's sound, faded: shorter than half the gap, so that pieces never overlap. */
const MARGIN: Seconds = 0.012
/** Loudness every piece is brought to, LKFS without gates; lower for all of a call where a peak would be cut. */
export const JOIN_LEVEL = -21
const PEAK = 30_000

export interface Joined extends Sound {
  /** Start and end of each piece's sound, seconds. */
  readonly spans: readonly { readonly from: Seconds; readonly to: Seconds }[]
}

/**
 * Recorded pieces as one clip: each cut to its sound, brought to one loudness, its edges faded by raised cosines in the margin outside the sound, and laid
 * JOIN_GAP apart, to the sample. Throws RangeError for pieces of several rates or a piece without sound.
 */
export function joinPieces(pieces: readonly Sound[]): Joined {
  const sampleRate = pieces[0]?.sampleRate ?? 22050
  const cut = pieces.map((piece, i) => {
    if (piece.sampleRate !== sampleRate)
      throw new RangeError(`joinPieces: pieces at ${sampleRate} and ${piece.sampleRate} Hz`)
    const part = audiblePart(piece)
    if (part === null) throw new RangeError(`joinPieces: piece ${i} has no sound`)
    const sound = piece.samples.subarray(part.from, part.to)
    const peak = sound.reduce((most, sample) => Math.max(most, Math.abs(sample)), 1)
    const level = meanLoudness(sound, sampleRate)
    return { piece, part, level, room: level + 20 * Math.log10(PEAK / peak) }
  })
  const level = Math.min(JOIN_LEVEL, ...cut.map(({ room }) => room))
  const margin = Math.round(MARGIN * sampleRate)
  const gap = Math.round(JOIN_GAP * sampleRate)
  const length = cut.reduce((sum, { part }) => sum + part.to - part.from, 0) + gap * Math.max(0, cut.length - 1)
  const samples = new Int16Array(length + 2 * margin)
  let at = margin
  const spans = cut.map(({ piece, part, level: own }) => {
    const gain = 10 ** ((level - own) / 20)
    for (let i = part.from - margin; i < part.to + margin; i++) {
      const outside = i < part.from ? part.from - i : i >= part.to ? i - part.to + 1 : 0
      const fade = 0.5 + 0.5 * Math.cos((Math.PI * outside) / (margin + 1))
      samples[at + i - part.from] = Math.round((piece.samples[i] ?? 0) * gain * fade)
    }
    const span = { from: at / sampleRate, to: (at + part.to - part.from) / sampleRate }
    at += part.to - part.from + gap
    return span
  })
  return { sampleRate, samples, spans }
}
