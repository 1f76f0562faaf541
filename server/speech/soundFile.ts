import { type BitRate, type SoundFormat, writeEncoded } from './encode.ts'
import { loudness, normalise, truePeak } from './loudness.ts'
import type { SoundTags } from './soundTags.ts'
import type { Sound } from './wav.ts'

export interface SoundFileOptions {
  readonly format: SoundFormat
  readonly tags: SoundTags
  readonly bitrate?: BitRate
  /** LUFS; −23 by EBU R 128. */
  readonly loudness?: number
  /** dBTP; −1 by EBU R 128. */
  readonly peak?: number
  readonly signal?: AbortSignal
  readonly onProgress?: (done: number, total: number) => void
}

/** What was written: seconds, loudness (LUFS; null for silence) and true peak (dBTP) as measured on the samples after levelling. */
export interface SoundFileFacts {
  readonly seconds: number
  readonly loudness: number | null
  readonly peak: number | null
}

/**
 * Levels a sound and writes it whole or not at all. One gain for all of it; below the asked loudness where the peak would be passed. Coding with loss moves
 * peaks a little, so MP3 and Ogg are levelled to half a decibel less.
 */
export async function writeSoundFile(path: string, sound: Sound, options: SoundFileOptions): Promise<SoundFileFacts> {
  const peak = (options.peak ?? -1) - (options.format === 'wav' ? 0 : CODING)
  const samples = normalise(sound.samples, sound.sampleRate, { target: options.loudness ?? -23, peak })
  options.signal?.throwIfAborted()
  await writeEncoded(path, { sampleRate: sound.sampleRate, samples }, options.format, {
    tags: options.tags,
    ...(options.bitrate ? { bitrate: options.bitrate } : {}),
    ...(options.signal ? { signal: options.signal } : {}),
    ...(options.onProgress ? { onProgress: options.onProgress } : {}),
  })
  const [loud, top] = [loudness(samples, sound.sampleRate), truePeak(samples)]
  return {
    seconds: samples.length / sound.sampleRate,
    loudness: Number.isFinite(loud) ? loud : null,
    peak: Number.isFinite(top) ? top : null,
  }
}

/** Room for what a codec adds to a peak, dB [chosen; tests read the coded files back]. */
const CODING = 0.5
