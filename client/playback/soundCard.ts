import type { AudioTime } from '../../server/units.ts'
import type { AudioReading } from './audioClock.ts'
import { audioHeard, audioNow, audioReading } from './clocks.ts'

/** A sound on its way or being heard. */
export interface Sounding {
  /** At a moment of the card's clock, or now. */
  stop(at?: AudioTime): void
}

/** What the player asks of a sound card; tests step one by hand. */
export interface SoundCard {
  now(): AudioTime
  heard(): AudioTime
  /** Fetches and decodes ahead; resolves when the clip can be started, rejects when it cannot be had. */
  load(clip: string): Promise<void>
  has(clip: string): boolean
  /** Starts a loaded clip at exactly `at`, from `offset` seconds into it. */
  play(clip: string, at: AudioTime, offset?: number): Sounding
  /** One tick of the count at `at`; the last is higher. */
  tick(at: AudioTime, last: boolean): Sounding
  resume(): Promise<void>
  /** The card's clock and the page's at one moment; null while the card stands still. */
  reading?(): AudioReading | null
  close(): void
}

/** The browser's own card: what listens shares its clock. */
export interface WebSoundCard extends SoundCard {
  readonly context: AudioContext
  /** Clips to the left ear (−1), both (0) or the right (1). */
  side(ear: number): void
}

/** Decoded clips kept: some minutes of calls, so that memory does not grow with the stage. */
const KEPT = 96

/** The browser's sound card through Web Audio. Must be made or resumed from a person's own click or key. */
export function webSoundCard(fetchClip: (clip: string) => Promise<ArrayBuffer> = fetchFromServer): WebSoundCard {
  const context = new AudioContext({ latencyHint: 'interactive' })
  const buffers = new Map<string, AudioBuffer>()
  const ear = context.createStereoPanner()
  ear.connect(context.destination)
  const loading = new Map<string, Promise<void>>()

  const keep = (clip: string, buffer: AudioBuffer) => {
    buffers.set(clip, buffer)
    for (const oldest of buffers.keys()) {
      if (buffers.size <= KEPT) break
      buffers.delete(oldest)
    }
  }
  return {
    context,
    side: (value) => {
      ear.pan.value = value
    },
    now: () => audioNow(context),
    heard: () => audioHeard(context),
    has: (clip) => buffers.has(clip),
    load(clip) {
      if (buffers.has(clip)) return Promise.resolve()
      const running = loading.get(clip)
      if (running) return running
      const started = fetchClip(clip)
        .then((bytes) => context.decodeAudioData(bytes))
        .then((buffer) => keep(clip, buffer))
        .finally(() => loading.delete(clip))
      loading.set(clip, started)
      return started
    },
    play(clip, at, offset = 0) {
      const source = context.createBufferSource()
      source.buffer = buffers.get(clip)!
      source.connect(ear)
      source.start(Math.max(at, context.currentTime), offset)
      return { stop: (when) => source.stop(when) }
    },
    tick(at, last) {
      const tone = context.createOscillator()
      const level = context.createGain()
      tone.frequency.value = last ? 1320 : 880
      level.gain.value = 0.12
      tone.connect(level).connect(context.destination)
      tone.start(Math.max(at, context.currentTime))
      tone.stop(Math.max(at, context.currentTime) + (last ? 0.3 : 0.09))
      return { stop: (when) => tone.stop(when) }
    },
    resume: () => context.resume(),
    reading: () => (context.state === 'running' ? audioReading(context) : null),
    close: () => void context.close(),
  }
}

async function fetchFromServer(clip: string): Promise<ArrayBuffer> {
  const response = await fetch(`/api/clips/${clip}`)
  if (!response.ok) throw new Error(`clip ${clip}: ${response.status}`)
  return response.arrayBuffer()
}
