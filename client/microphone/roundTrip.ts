/** Eight chirps of 20 ms from 1 to 7 kHz: a click would drown in noise. */
const CHIRPS = 8
const CHIRP_SECONDS = 0.02
export const CHIRP_EVERY = 0.4
const LOW = 1000
const HIGH = 7000
/** Refused unless this many agree within this, and the peak stands so far over the median of the correlation. */
const AGREE = 5
const WITHIN = 0.002
const STANDS_OUT = 15
const LONGEST = 0.35

/** One chirp at a sample rate, Hann-shaped, full scale ±1. */
export function chirp(rate: number): Float32Array {
  const length = Math.round(CHIRP_SECONDS * rate)
  return Float32Array.from({ length }, (_, i) => {
    const t = i / rate
    const phase = 2 * Math.PI * (LOW * t + ((HIGH - LOW) * t * t) / (2 * CHIRP_SECONDS))
    return Math.sin(phase) * (0.5 - 0.5 * Math.cos((2 * Math.PI * i) / length))
  })
}

/** Seconds at which the chirps begin, counted from the first. */
export const chirpTimes = (): number[] => Array.from({ length: CHIRPS }, (_, k) => k * CHIRP_EVERY)

/** All chirps as one sound to be played. */
export function chirps(rate: number): Float32Array {
  const one = chirp(rate)
  const all = new Float32Array(Math.ceil((CHIRPS * CHIRP_EVERY + LONGEST) * rate))
  for (const at of chirpTimes()) all.set(one, Math.round(at * rate))
  return all
}

export interface RoundTrip {
  /** Seconds from playing to hearing; null when it could not be told. */
  readonly seconds: number | null
  readonly agree: number
  readonly words: string
}

/**
 * Delay from playing `chirps` to hearing them in `recorded`, whose sample 0 is the moment the first was played: correlate, take the first sample that reaches
 * half the greatest correlation, then its local top by a parabola; the median of eight (docs/method/reading.md). Reflections may be louder, never earlier.
 */
export function roundTripOf(recorded: Float32Array, rate: number): RoundTrip {
  const one = chirp(rate)
  const reach = Math.round(LONGEST * rate)
  const delays: number[] = []
  for (const start of chirpTimes()) {
    const from = Math.round(start * rate)
    const correlation = new Float64Array(reach)
    let greatest = 0
    for (let lag = 0; lag < reach; lag++) {
      let sum = 0
      for (let i = 0; i < one.length; i++) sum += one[i]! * (recorded[from + lag + i] ?? 0)
      correlation[lag] = Math.abs(sum)
      greatest = Math.max(greatest, correlation[lag]!)
    }
    const middle = [...correlation].sort((a, b) => a - b)[reach >> 1]!
    if (!(greatest > 0) || greatest < STANDS_OUT * middle) continue
    let at = correlation.findIndex((v) => v >= greatest / 2)
    while (at + 1 < reach && correlation[at + 1]! > correlation[at]!) at++
    const [a, b, c] = [correlation[at - 1] ?? 0, correlation[at]!, correlation[at + 1] ?? 0]
    const bend = a - 2 * b + c
    delays.push((at + (bend < 0 ? (a - c) / (2 * bend) : 0)) / rate)
  }
  const sorted = delays.sort((a, b) => a - b)
  const median = sorted[sorted.length >> 1]
  const agree = median === undefined ? 0 : sorted.filter((delay) => Math.abs(delay - median) <= WITHIN).length
  if (median === undefined || agree < AGREE) {
    return {
      seconds: null,
      agree,
      words:
        'The chirps were not heard. With headphones hold one cup to the microphone for these three seconds; with loudspeakers turn them up. Until then a usual delay is assumed.',
    }
  }
  return {
    seconds: median,
    agree,
    words: `Sound takes ${Math.round(median * 1000)} ms from here to the ear and back; it is taken off every start.`,
  }
}

/** What a few seconds of silence say about the room, in words. `samples` full scale ±1. */
export function roomInWords(samples: Float32Array): string {
  let sum = 0
  for (const v of samples) sum += v * v
  const level = 10 * Math.log10(sum / Math.max(1, samples.length) + 1e-12)
  if (level < -85) return 'Nothing at all comes in, not even the room: is the microphone muted?'
  if (level < -55) return 'The room is quiet: starts are told to about three hundredths of a second.'
  if (level < -38) return 'There is some noise: starts are told to about six hundredths of a second.'
  return 'The room is loud. Calls are still told apart, but some will be "not heard".'
}
