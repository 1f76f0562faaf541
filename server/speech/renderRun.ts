import type { Seconds, StageTime } from '../units.ts'
import type { Sound } from './wav.ts'

export interface RunSound extends Sound {
  /** Stage time of the first sample. */
  readonly from: StageTime
}

/**
 * A whole run as one sound: every clip laid at its start, to the sample. The sound begins `head` before the first call or `since` (the start line, 0),
 * whichever is earlier, and ends `tail` after the last. All clips must share one sample rate; throws RangeError otherwise. Overlaps add and are clipped.
 */
export function renderRun(
  calls: readonly { readonly start: StageTime; readonly clip: Sound }[],
  q: { head?: Seconds; tail?: Seconds; since?: StageTime; until?: StageTime } = {},
): RunSound {
  const sampleRate = calls[0]?.clip.sampleRate ?? 22050
  let first = q.since ?? 0
  let last = q.until ?? first
  for (const { start, clip } of calls) {
    first = Math.min(first, start)
    last = Math.max(last, start + clip.samples.length / sampleRate)
  }
  const from = Math.floor((first - (q.head ?? 0.5)) * 10) / 10
  const samples = new Int16Array(Math.ceil((last + (q.tail ?? 0.5) - from) * sampleRate))
  for (const { start, clip } of calls) {
    if (clip.sampleRate !== sampleRate)
      throw new RangeError(`renderRun: clips at ${sampleRate} and ${clip.sampleRate} Hz`)
    layInPlace(samples, Math.round((start - from) * sampleRate), clip.samples)
  }
  return { from, sampleRate, samples }
}

/** Adds a clip from sample `at` on, clipped to 16 bits; what falls outside is left out. */
export function layInPlace(samples: Int16Array, at: number, clip: Int16Array): void {
  for (let i = Math.max(0, -at); i < clip.length && at + i < samples.length; i++) {
    samples[at + i] = Math.max(-32768, Math.min(32767, samples[at + i]! + clip[i]!))
  }
}
