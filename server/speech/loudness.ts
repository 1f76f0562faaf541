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

/** Loudness of a short sound as a whole, LKFS: the K-weighted mean square without blocks or gates, which need 400 ms. −Infinity for silence. */
export function meanLoudness(samples: Int16Array, sampleRate: number): number {
  if (samples.length === 0) return Number.NEGATIVE_INFINITY
  const [energy] = hopEnergies(samples, kWeighting(sampleRate), samples.length)
  return lkfs(energy! / samples.length)
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

/**
 * True peak in dBTP: the largest sample after fourfold oversampling (BS.1770 annex 2) by a Hann-windowed sinc of 12 taps, our own. −Infinity for silence.
 * Only where the samples at hand are large enough to raise the peak are they oversampled: no phase can pass its taps' sum of sizes times the largest.
 */
export function truePeak(samples: Int16Array): number {
  const taps = Array.from({ length: PHASES }, (_, phase) => Float64Array.from(sincTaps(phase / PHASES)))
  const most = Math.max(...taps.map((phase) => phase.reduce((sum, tap) => sum + Math.abs(tap), 0)))
  let peak = 0
  for (let from = 0; from < samples.length; from += BLOCK) {
    const to = Math.min(samples.length, from + BLOCK)
    let largest = 0
    for (let i = Math.max(0, from - REACH); i < Math.min(samples.length, to + REACH); i++) {
      const size = Math.abs(samples[i]!)
      if (size > largest) largest = size
    }
    if (largest * most > peak) peak = peakBetween(samples, from, to, taps, peak)
  }
  return 20 * Math.log10(peak / 32768)
}

const BLOCK = 256

function peakBetween(
  samples: Int16Array,
  from: number,
  to: number,
  taps: readonly Float64Array[],
  least: number,
): number {
  // Zeros stand for what is outside the sound, so that the loop below need not ask.
  const near = new Float64Array(to - from + 2 * REACH)
  for (let i = 0; i < near.length; i++) {
    const at = from - REACH + 1 + i
    near[i] = at >= 0 && at < samples.length ? samples[at]! : 0
  }
  let peak = least
  for (const phase of taps) {
    for (let i = 0; i < to - from; i++) {
      let sum = 0
      for (let t = 0; t < 2 * REACH; t++) sum += phase[t]! * near[i + t]!
      if (sum > peak) peak = sum
      else if (-sum > peak) peak = -sum
    }
  }
  return peak
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
  const levelled = new Int16Array(samples.length)
  for (let i = 0; i < samples.length; i++)
    levelled[i] = Math.max(-32768, Math.min(32767, Math.round(samples[i]! * gain)))
  return levelled
}
