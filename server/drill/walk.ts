import type { Seconds } from '../units.ts'

/** Breath beside the time it takes to say the call, and the least of a gap (ours, not from a source). */
const BREATH = 0.8
const LEAST = 1.5

/** Silence in which a call of `duration` seconds is said from memory before it is heard. */
export const gapFor = (duration: Seconds): Seconds => Math.max(LEAST, duration + BREATH)

export interface WalkCall {
  readonly call: number
  readonly start: Seconds
}

/**
 * An audio-only session: gap, answer, gap, answer, in order from `position` round the end, as many as fit in `seconds` (at least one). The call before the first
 * is heard first, without a gap, to lead in. Starts on the sound's own clock. `durations` in calls' order, every one >= 0; a call of length 0 is passed over.
 */
export function walkFrom(durations: readonly Seconds[], position: number, seconds: Seconds): WalkCall[] {
  const n = durations.length
  if (!(seconds >= 0)) throw new RangeError(`walkFrom: seconds must be >= 0, got ${seconds}`)
  const calls: WalkCall[] = []
  let at = 0
  if (n > 1 && position % n > 0) {
    calls.push({ call: (position % n) - 1, start: 0 })
    at = durations[(position % n) - 1]!
  }
  for (let i = 0; i < n; i++) {
    const call = (position + i) % n
    const duration = durations[call]!
    if (duration === 0) continue
    const start = at + gapFor(duration)
    if (start + duration > seconds && i > 0) break
    calls.push({ call, start })
    at = start + duration
  }
  return calls
}
