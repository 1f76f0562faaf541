import type { Seconds } from '../units.ts'

/** What an engine is asked to say. `words` holds only letters, digits, spaces, apostrophes and hyphens (see phrase). */
export interface SpeechRequest {
  readonly words: readonly string[]
  readonly voice: string
  /** Words a minute, engine's own scale; 80…450. */
  readonly rate: number
  /** 0…100, 50 usual. */
  readonly pitch: number
}

/** A spoken call, trimmed of silence at head and tail; duration = samples.length / sampleRate. */
export interface SpokenClip {
  readonly sampleRate: number
  readonly samples: Int16Array
  /** End of each word of the request, seconds after the clip's first sample; last one = duration. Non-decreasing. */
  readonly wordEnds: readonly Seconds[]
  /** 'engine' when the engine told word times, 'estimated' otherwise. */
  readonly timing: 'engine' | 'estimated'
}

export interface Voice {
  readonly id: string
  readonly name: string
  readonly language: string
}

export interface SpeechEngine {
  readonly name: string
  /** False for engines that only play live through the host's loudspeaker. */
  readonly makesClips: boolean
  voices(): Promise<readonly Voice[]>
  /** Rejects with SpeechError: what failed and how to mend it. */
  speak(request: SpeechRequest): Promise<SpokenClip>
  /** Play now through the host's loudspeaker, for engines that can. */
  sayNow?(request: SpeechRequest): Promise<void>
  /** What else decides how a voice sounds, '' for nothing: clips made under another identity are not used again. */
  identity?(voice: string): string
  close(): Promise<void>
}

export class SpeechError extends Error {
  override readonly name = 'SpeechError'
}
