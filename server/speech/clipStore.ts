import { createHash } from 'node:crypto'
import { mkdir, readFile } from 'node:fs/promises'
import { join } from 'node:path'
import type { SpeechEngine, SpeechRequest, SpokenClip } from './speechEngine.ts'
import { readWav, writeWav } from './wav.ts'
import { writePieces } from './writePieces.ts'

/** Raised when clips made before would no longer do: trimming, word ends. */
const VERSION = 1
const MEMORY = 3000
/** Requests in flight at once. */
const LANES = 64

export interface StoredClip {
  readonly hash: string
  readonly clip: SpokenClip
}

/**
 * Clips by content: the same engine, voice, rate, pitch and words are spoken once and kept on disk, so that what is played is the very clip that was
 * measured. Files are written whole or not at all; one that cannot be read is made again. A folder that cannot be written costs the cache, not the voice.
 */
export class ClipStore {
  private readonly memory = new Map<string, SpokenClip>()
  private readonly making = new Map<string, Promise<SpokenClip>>()
  private readonly engine: SpeechEngine
  private readonly folder: string

  constructor(engine: SpeechEngine, folder: string) {
    this.engine = engine
    this.folder = folder
  }

  /** Content hash of a request: what names its clip. */
  hashOf(request: SpeechRequest): string {
    const { words, voice, rate, pitch } = request
    return createHash('sha256')
      .update(JSON.stringify([VERSION, this.engine.name, voice, rate, pitch, words, ...this.identity(voice)]))
      .digest('hex')
      .slice(0, 40)
  }

  /** What else decides how a voice sounds; empty for nothing, so that names of other clips stay. */
  identity(voice: string): string[] {
    const identity = this.engine.identity?.(voice) ?? ''
    return identity === '' ? [] : [identity]
  }

  /** A clip made before, or null. */
  async get(hash: string): Promise<SpokenClip | null> {
    return this.memory.get(hash) ?? (await this.read(hash))
  }

  /** One clip, made if need be. */
  async speak(request: SpeechRequest): Promise<StoredClip> {
    const hash = this.hashOf(request)
    const known = await this.get(hash)
    if (known) return { hash, clip: known }
    let made = this.making.get(hash)
    if (!made) {
      made = this.make(hash, request).finally(() => this.making.delete(hash))
      this.making.set(hash, made)
    }
    return { hash, clip: await made }
  }

  /** Clips for every request, in order; progress counts requests. Rejects with the signal's reason when it is aborted. */
  async speakAll(
    requests: readonly SpeechRequest[],
    options: { onProgress?: (done: number, total: number) => void; signal?: AbortSignal } = {},
  ): Promise<StoredClip[]> {
    const results = new Array<StoredClip>(requests.length)
    let next = 0
    let done = 0
    // Several lanes keep every thread of the engine fed; the first failure ends them all.
    let failed = false
    const lane = async () => {
      while (next < requests.length && !failed) {
        options.signal?.throwIfAborted()
        const i = next++
        results[i] = await this.speak(requests[i]!)
        options.onProgress?.(++done, requests.length)
      }
    }
    try {
      await Promise.all(Array.from({ length: Math.min(LANES, requests.length) }, lane))
    } catch (error) {
      failed = true
      throw error
    }
    return results
  }

  private async make(hash: string, request: SpeechRequest): Promise<SpokenClip> {
    const clip = await this.engine.speak(request)
    this.remember(hash, clip)
    await this.write(hash, clip).catch(() => {})
    return clip
  }

  private remember(hash: string, clip: SpokenClip): void {
    if (this.memory.size >= MEMORY) this.memory.delete(this.memory.keys().next().value!)
    this.memory.set(hash, clip)
  }

  private async read(hash: string): Promise<SpokenClip | null> {
    if (!/^[0-9a-f]{40}$/.test(hash)) return null
    try {
      const [sound, about] = await Promise.all([
        readFile(join(this.folder, `${hash}.wav`)),
        readFile(join(this.folder, `${hash}.json`), 'utf8'),
      ])
      const { samples, sampleRate } = readWav(sound)
      const { wordEnds, timing, length } = JSON.parse(about) as {
        wordEnds: number[]
        timing: SpokenClip['timing']
        length: number
      }
      if (samples.length !== length || sampleRate <= 0 || !Array.isArray(wordEnds)) return null
      const clip = { sampleRate, samples, wordEnds, timing }
      this.remember(hash, clip)
      return clip
    } catch {
      return null
    }
  }

  private async write(hash: string, clip: SpokenClip): Promise<void> {
    await mkdir(this.folder, { recursive: true })
    const about = JSON.stringify({ wordEnds: clip.wordEnds, timing: clip.timing, length: clip.samples.length })
    await writePieces(join(this.folder, `${hash}.wav`), [writeWav(clip)])
    await writePieces(join(this.folder, `${hash}.json`), [new TextEncoder().encode(about)])
  }
}
