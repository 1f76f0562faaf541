import type { Seconds, StageTime } from '../units.ts'
import type { SpokenClip } from './speechEngine.ts'
import type { Sound } from './wav.ts'

export interface RunSound extends Sound {
  /** Stage time of the first sample. */
  readonly from: StageTime
}

/**
 * A whole run as one sound: every clip laid at its start, to the sample. The sound begins `head` before the first call or the start line, whichever is
 * earlier, and ends `tail` after the last. All clips must share one sample rate; throws RangeError otherwise. Overlaps add and are clipped.
 */
export function renderRun(
  calls: readonly { readonly start: StageTime; readonly clip: SpokenClip }[],
  q: { head?: Seconds; tail?: Seconds; until?: StageTime } = {},
): RunSound {
  const sampleRate = calls[0]?.clip.sampleRate ?? 22050
  const first = Math.min(0, ...calls.map((call) => call.start))
  const from = Math.floor((first - (q.head ?? 0.5)) * 10) / 10
  const last = Math.max(q.until ?? 0, ...calls.map((call) => call.start + call.clip.samples.length / sampleRate))
  const samples = new Int16Array(Math.ceil((last + (q.tail ?? 0.5) - from) * sampleRate))
  for (const { start, clip } of calls) {
    if (clip.sampleRate !== sampleRate)
      throw new RangeError(`renderRun: clips at ${sampleRate} and ${clip.sampleRate} Hz`)
    const at = Math.round((start - from) * sampleRate)
    for (let i = 0; i < clip.samples.length; i++) {
      samples[at + i] = Math.max(-32768, Math.min(32767, samples[at + i]! + clip.samples[i]!))
    }
  }
  return { from, sampleRate, samples }
}
