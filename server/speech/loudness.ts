/** One biquad section, a0 = 1. */
export interface Biquad {
  readonly b: readonly [number, number, number]
  readonly a: readonly [number, number]
}

/**
 * The two K-weighting filters of ITU-R BS.1770 at any sample rate (Hz): high shelf, then high pass, by bilinear transform. The corner frequencies, gain
 * and Q (from memory) are those that give the Recommendation's printed table at 48 kHz; a test holds them to it.
 */
export function kWeighting(sampleRate: number): readonly [Biquad, Biquad] {
  if (!(sampleRate >= 8000)) throw new RangeError(`kWeighting: sampleRate must be at least 8000 Hz, got ${sampleRate}`)
  return [shelf(sampleRate), highPass(sampleRate)]
}

function shelf(sampleRate: number): Biquad {
  const k = Math.tan((Math.PI * 1681.974450955533) / sampleRate)
  const q = 0.7071752369554196
  const vh = 10 ** (3.999843853973347 / 20)
  const vb = vh ** 0.4996667741545416
  const a0 = 1 + k / q + k * k
  return {
    b: [(vh + (vb * k) / q + k * k) / a0, (2 * (k * k - vh)) / a0, (vh - (vb * k) / q + k * k) / a0],
    a: [(2 * (k * k - 1)) / a0, (1 - k / q + k * k) / a0],
  }
}

function highPass(sampleRate: number): Biquad {
  const k = Math.tan((Math.PI * 38.13547087602444) / sampleRate)
  const q = 0.5003270373238773
  const a0 = 1 + k / q + k * k
  return { b: [1, -2, 1], a: [(2 * (k * k - 1)) / a0, (1 - k / q + k * k) / a0] }
}

/**
 * Integrated loudness of a mono sound in LKFS (= LUFS), ITU-R BS.1770: K-weighted mean square of 400 ms blocks overlapping by three quarters, gated at
 * −70 LKFS and then at 10 LU below the mean of what is left. −Infinity when nothing passes, or the sound is shorter than a block.
 */
export function loudness(samples: Int16Array, sampleRate: number): number {
  const hop = Math.round(sampleRate / 10)
  const energy = hopEnergies(samples, kWeighting(sampleRate), hop)
  const blocks: number[] = []
  for (let i = 0; i + 4 <= energy.length; i++)
    blocks.push((energy[i]! + energy[i + 1]! + energy[i + 2]! + energy[i + 3]!) / (4 * hop))
  const loud = blocks.filter((power) => lkfs(power) > -70)
  const gate = lkfs(mean(loud)) - 10
  return lkfs(mean(loud.filter((power) => lkfs(power) > gate)))
}

const lkfs = (power: number) => -0.691 + 10 * Math.log10(power)
const mean = (values: readonly number[]) =>
  values.length === 0 ? 0 : values.reduce((sum, value) => sum + value, 0) / values.length

function hopEnergies(samples: Int16Array, [one, two]: readonly [Biquad, Biquad], hop: number): number[] {
  const energies: number[] = []
  let [p1, p2, q1, q2, sum] = [0, 0, 0, 0, 0]
  for (let i = 0; i < samples.length; i++) {
    const x = samples[i]! / 32768
    const y = one.b[0] * x + p1
    p1 = one.b[1] * x - one.a[0] * y + p2
    p2 = one.b[2] * x - one.a[1] * y
    const z = two.b[0] * y + q1
    q1 = two.b[1] * y - two.a[0] * z + q2
    q2 = two.b[2] * y - two.a[1] * z
    sum += z * z
    if ((i + 1) % hop === 0) {
      energies.push(sum)
      sum = 0
    }
  }
  return energies
}

const PHASES = 4
const REACH = 6

/** True peak in dBTP: the largest sample after fourfold oversampling (BS.1770 annex 2) by a Hann-windowed sinc of 12 taps, our own. −Infinity for silence. */
export function truePeak(samples: Int16Array): number {
  const taps = Array.from({ length: PHASES }, (_, phase) => sincTaps(phase / PHASES))
  let peak = 0
  for (let i = 0; i < samples.length; i++) {
    for (const phase of taps) {
      let sum = 0
      for (let t = 0; t < phase.length; t++) sum += phase[t]! * (samples[i + t - REACH + 1] ?? 0)
      peak = Math.max(peak, Math.abs(sum))
    }
  }
  return 20 * Math.log10(peak / 32768)
}

function sincTaps(shift: number): number[] {
  return Array.from({ length: 2 * REACH }, (_, t) => {
    const x = t - REACH + 1 - shift
    const sinc = x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x)
    return sinc * (0.5 + 0.5 * Math.cos((Math.PI * x) / REACH))
  })
}

/**
 * The sound at `target` LUFS (EBU R 128: −23), or as near below it as a true peak of `peak` dBTP (−1) allows: one gain for all of it, so that calls keep
 * their balance. Silence comes back as it is.
 */
export function normalise(
  samples: Int16Array,
  sampleRate: number,
  q: { target?: number; peak?: number } = {},
): Int16Array {
  const measured = loudness(samples, sampleRate)
  if (!Number.isFinite(measured)) return samples.slice()
  const gain = 10 ** (Math.min((q.target ?? -23) - measured, (q.peak ?? -1) - truePeak(samples)) / 20)
  return samples.map((sample) => Math.max(-32768, Math.min(32767, Math.round(sample * gain))))
}
