import { randomUUID } from 'node:crypto'
import { open, rename, rm } from 'node:fs/promises'
import { createMp3Encoder, createOggEncoder } from 'wasm-media-encoders'
import type { Sound } from './wav.ts'

/** Samples handed to the encoder at a time: memory stays flat however long the run. */
const PIECE = 1 << 16

/**
 * Writes a mono sound as MP3 (constant bit rate, kbit/s; a variable one tells players a wrong length) or Ogg Vorbis. The file appears whole or not at
 * all. MP3 adds 29…56 ms of padding (measured); Ogg is exact.
 */
export async function writeEncoded(
  path: string,
  sound: Sound,
  format: 'mp3' | 'ogg',
  bitrate: 64 | 96 | 128 = 64,
): Promise<void> {
  const part = `${path}.${randomUUID()}.part`
  try {
    const file = await open(part, 'w')
    try {
      for await (const piece of pieces(sound, format, bitrate)) await file.writeFile(piece)
      await file.sync()
    } finally {
      await file.close()
    }
    await rename(part, path)
  } catch (error) {
    await rm(part, { force: true })
    throw error
  }
}

async function* pieces(sound: Sound, format: 'mp3' | 'ogg', bitrate: 64 | 96 | 128): AsyncGenerator<Uint8Array> {
  const encoder = await (format === 'mp3' ? mp3(sound.sampleRate, bitrate) : ogg(sound.sampleRate))
  for (let at = 0; at < sound.samples.length; at += PIECE) {
    const piece = Float32Array.from(sound.samples.subarray(at, at + PIECE), (sample) => sample / 32768)
    // The encoder hands out a view of memory that it uses again.
    yield encoder.encode([piece]).slice()
  }
  yield encoder.finalize().slice()
}

async function mp3(sampleRate: number, bitrate: 64 | 96 | 128) {
  const encoder = await createMp3Encoder()
  encoder.configure({ sampleRate, channels: 1, bitrate })
  return encoder
}

async function ogg(sampleRate: number) {
  const encoder = await createOggEncoder()
  encoder.configure({ sampleRate, channels: 1, vbrQuality: 3 })
  return encoder
}
