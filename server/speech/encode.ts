import { createMp3Encoder, createOggEncoder } from 'wasm-media-encoders'
import { id3Tag } from './id3.ts'
import { withOggTags } from './oggTags.ts'
import type { SoundTags } from './soundTags.ts'
import { type Sound, wavPieces } from './wav.ts'
import { writePieces } from './writePieces.ts'

/** Samples handed to the encoder at a time: memory stays flat however long the run. */
const PIECE = 1 << 16

export type SoundFormat = 'wav' | 'mp3' | 'ogg'
export type BitRate = 64 | 96 | 128

export interface EncodeOptions {
  readonly tags?: SoundTags
  /** MP3 only, kbit/s. */
  readonly bitrate?: BitRate
  readonly signal?: AbortSignal
  readonly onProgress?: (done: number, total: number) => void
}

/**
 * Writes a mono sound as WAV (exact), MP3 (constant bit rate; a variable one tells players a wrong length) or Ogg Vorbis. The file appears whole or not at
 * all; an aborted signal leaves nothing. MP3 adds 29…56 ms of padding (measured); Ogg is exact. Rejects with RangeError for a rate MP3 does not have.
 */
export async function writeEncoded(
  path: string,
  sound: Sound,
  format: SoundFormat,
  options: EncodeOptions = {},
): Promise<void> {
  await writePieces(path, pieces(sound, format, options), options.signal)
}

async function* pieces(sound: Sound, format: SoundFormat, options: EncodeOptions): AsyncGenerator<Uint8Array> {
  if (format === 'wav') {
    yield* wavPieces(sound, options.tags)
    options.onProgress?.(sound.samples.length, sound.samples.length)
  } else if (format === 'mp3') {
    if (options.tags) yield id3Tag(options.tags, sound.samples.length / sound.sampleRate)
    yield* encoded(await mp3(sound.sampleRate, options.bitrate ?? 64), sound, options)
  } else {
    const stream = encoded(await ogg(sound.sampleRate), sound, options)
    if (options.tags) yield* withOggTags(stream, options.tags)
    else yield* stream
  }
}

type Encoder = Awaited<ReturnType<typeof createMp3Encoder>> | Awaited<ReturnType<typeof createOggEncoder>>

async function* encoded(encoder: Encoder, sound: Sound, options: EncodeOptions): AsyncGenerator<Uint8Array> {
  for (let at = 0; at < sound.samples.length; at += PIECE) {
    const piece = new Float32Array(Math.min(PIECE, sound.samples.length - at))
    for (let i = 0; i < piece.length; i++) piece[i] = sound.samples[at + i]! / 32768
    // The encoder hands out a view of memory that it uses again.
    yield encoder.encode([piece]).slice()
    options.onProgress?.(Math.min(at + PIECE, sound.samples.length), sound.samples.length)
  }
  yield encoder.finalize().slice()
}

/** Rates an MPEG layer III stream can have, Hz (ISO 11172-3 and 13818-3; from memory). */
const MP3_RATES = new Set([8000, 11025, 12000, 16000, 22050, 24000, 32000, 44100, 48000])

async function mp3(sampleRate: number, bitrate: BitRate) {
  if (!MP3_RATES.has(sampleRate)) throw new RangeError(`writeEncoded: MP3 has no rate of ${sampleRate} Hz`)
  const encoder = await createMp3Encoder()
  encoder.configure({ sampleRate, channels: 1, bitrate })
  return encoder
}

async function ogg(sampleRate: number) {
  const encoder = await createOggEncoder()
  encoder.configure({ sampleRate, channels: 1, vbrQuality: 3 })
  return encoder
}
