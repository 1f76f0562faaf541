import type { Sound } from './wav.ts'

/** Half width of the filter in input samples at full band. */
const REACH = 16

/** A sound at another rate (Hz) by a Hann-windowed sinc, cut at the lower of the two Nyquist rates. Length rounds to the same duration. */
export function resample(sound: Sound, sampleRate: number): Sound {
  if (!(sampleRate >= 1000)) throw new RangeError(`resample: rate must be at least 1000 Hz, got ${sampleRate}`)
  const { samples, sampleRate: from } = sound
  if (from === sampleRate) return sound
  const band = Math.min(1, sampleRate / from)
  const reach = Math.ceil(REACH / band)
  const out = new Int16Array(Math.round((samples.length * sampleRate) / from))
  for (let i = 0; i < out.length; i++) {
    const at = (i * from) / sampleRate
    const middle = Math.floor(at)
    let sum = 0
    for (let k = Math.max(0, middle - reach + 1); k <= Math.min(samples.length - 1, middle + reach); k++) {
      const x = at - k
      const window = 0.5 + 0.5 * Math.cos((Math.PI * x) / (reach + 1))
      const sinc = x === 0 ? 1 : Math.sin(Math.PI * band * x) / (Math.PI * band * x)
      sum += samples[k]! * band * sinc * window
    }
    out[i] = Math.max(-32768, Math.min(32767, Math.round(sum)))
  }
  return { sampleRate, samples: out }
}
