/** Zero crossings of the sinc on either side, counted at the slower rate. */
const REACH = 12
/** Pass band as a share of the slower Nyquist frequency. */
const PASS = 0.92

/**
 * Sound from one rate to another, piece by piece: windowed sinc (Hann), cut at 0.92 of the slower Nyquist frequency. Output sample n stands at input
 * time n/to exactly, so nothing is delayed; the last REACH crossings come out with the next piece. Rates in Hz, whole numbers > 0, else RangeError.
 */
export class Resampler {
  private readonly up: number
  private readonly down: number
  private readonly reach: number
  private readonly phases: Float32Array[] = []
  private readonly straight: boolean
  private kept: Float32Array
  /** Input index of kept[0]. */
  private base: number
  private filled: number
  private next = 0

  constructor(from: number, to: number) {
    for (const rate of [from, to])
      if (!(Number.isInteger(rate) && rate > 0))
        throw new RangeError(`Resampler: rate must be a whole number > 0, got ${rate}`)
    const common = divisor(from, to)
    this.up = to / common
    this.down = from / common
    this.straight = from === to
    const cut = (Math.min(from, to) / from) * PASS
    this.reach = Math.ceil(REACH / cut)
    for (let p = 0; p < this.up; p++) {
      const taps = new Float32Array(2 * this.reach)
      let sum = 0
      for (let k = 0; k < taps.length; k++) {
        // Distance from the output's moment to input sample (floor + k − reach + 1).
        const d = k - this.reach + 1 - p / this.up
        const w = Math.abs(d) < this.reach ? 0.5 + 0.5 * Math.cos((Math.PI * d) / this.reach) : 0
        const x = Math.PI * d * cut
        taps[k] = w * cut * (Math.abs(x) < 1e-9 ? 1 : Math.sin(x) / x)
        sum += taps[k]!
      }
      for (let k = 0; k < taps.length; k++) taps[k]! /= sum
      this.phases.push(taps)
    }
    this.base = -this.reach
    this.filled = this.reach
    this.kept = new Float32Array(this.reach * 2 + 8192)
  }

  /** What can be told from the samples so far, in a new array. */
  push(samples: Float32Array): Float32Array {
    if (this.straight) return samples.slice()
    if (this.filled + samples.length > this.kept.length) {
      const more = new Float32Array(this.filled + samples.length + 8192)
      more.set(this.kept.subarray(0, this.filled))
      this.kept = more
    }
    this.kept.set(samples, this.filled)
    this.filled += samples.length
    const { up, down, reach, kept } = this
    const end = this.base + this.filled
    const last = Math.ceil(((end - reach) * up) / down)
    const out = new Float32Array(Math.max(0, last - this.next))
    let n = 0
    for (; ; n++) {
      const at = (this.next + n) * down
      const whole = Math.floor(at / up)
      if (whole + reach >= end || n >= out.length) break
      const taps = this.phases[at - whole * up]!
      const first = whole - reach + 1 - this.base
      let sum = 0
      for (let k = 0; k < taps.length; k++) sum += taps[k]! * kept[first + k]!
      out[n] = sum
    }
    this.next += n
    const spare = Math.floor((this.next * down) / up) - reach + 1 - this.base
    if (spare > 4096) {
      kept.copyWithin(0, spare, this.filled)
      this.base += spare
      this.filled -= spare
    }
    return out.subarray(0, n)
  }
}

/** A whole sound at another rate; length round(samples · to / from). */
export function resample(samples: Float32Array, from: number, to: number): Float32Array {
  const resampler = new Resampler(from, to)
  const length = Math.round((samples.length * to) / from)
  const out = new Float32Array(length)
  const first = resampler.push(samples)
  out.set(first.subarray(0, length))
  if (first.length < length) {
    const rest = resampler.push(new Float32Array(4 * REACH + Math.ceil((8 * REACH * from) / Math.min(from, to))))
    out.set(rest.subarray(0, length - first.length), first.length)
  }
  return out
}

const divisor = (a: number, b: number): number => (b === 0 ? a : divisor(b, a % b))
