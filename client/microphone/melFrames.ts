/** Sample rate of everything that is compared, Hz: speech is told apart well below 8 kHz. */
export const HEARING_RATE = 16_000
export const BANDS = 20
/** Samples between two frames: 20 ms. A frame is the mean of two looks 10 ms apart. */
export const FRAME = 320
export const FRAME_SECONDS = FRAME / HEARING_RATE

const WINDOW = 320
const HOP = 160
const FFT = 512
const LOWEST = 200
const HIGHEST = 7000
/** Added to every band's power: 100 dB under full scale, so that digital silence has a logarithm. */
const FLOOR_POWER = 1e-10

const mel = (hertz: number) => 2595 * Math.log10(1 + hertz / 700)
const hertz = (m: number) => 700 * (10 ** (m / 2595) - 1)

/** Triangular bands, evenly spaced on the mel scale (2595·log10(1 + f/700), from memory) between 200 and 7000 Hz. */
const FILTERS: readonly { readonly from: number; readonly weights: Float64Array }[] = Array.from(
  { length: BANDS },
  (_, b) => {
    const step = (mel(HIGHEST) - mel(LOWEST)) / (BANDS + 1)
    const [low, middle, high] = [0, 1, 2].map((k) => (hertz(mel(LOWEST) + (b + k) * step) * FFT) / HEARING_RATE) as [
      number,
      number,
      number,
    ]
    const from = Math.ceil(low)
    const weights = new Float64Array(Math.max(1, Math.floor(high) - from + 1))
    for (let i = 0; i < weights.length; i++) {
      const bin = from + i
      weights[i] = bin <= middle ? (bin - low) / (middle - low) : (high - bin) / (high - middle)
    }
    return { from, weights }
  },
)

const HANN = Float64Array.from({ length: WINDOW }, (_, i) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (i + 0.5)) / WINDOW))
const COS = Float64Array.from({ length: FFT / 2 }, (_, i) => Math.cos((2 * Math.PI * i) / FFT))
const SIN = Float64Array.from({ length: FFT / 2 }, (_, i) => -Math.sin((2 * Math.PI * i) / FFT))
const REVERSED = Uint16Array.from({ length: FFT }, (_, i) => {
  let [from, to] = [i, 0]
  for (let bit = 1; bit < FFT; bit <<= 1) {
    to = (to << 1) | (from & 1)
    from >>= 1
  }
  return to
})

const re = new Float64Array(FFT)
const im = new Float64Array(FFT)

/** Radix-2 transform of `re`, `im`, already in bit-reversed order. */
function transformInPlace(): void {
  for (let half = 1; half < FFT; half <<= 1) {
    const stride = FFT / (2 * half)
    for (let start = 0; start < FFT; start += 2 * half) {
      for (let k = 0; k < half; k++) {
        const [c, s] = [COS[k * stride]!, SIN[k * stride]!]
        const a = start + k
        const b = a + half
        const tr = re[b]! * c - im[b]! * s
        const ti = re[b]! * s + im[b]! * c
        re[b] = re[a]! - tr
        im[b] = im[a]! - ti
        re[a] = re[a]! + tr
        im[a] = im[a]! + ti
      }
    }
  }
}

/** Adds half of ln(power) of each band of one look to `out`. */
function addLook(samples: Float32Array, at: number, out: Float32Array): void {
  for (let i = 0; i < FFT; i++) {
    const k = REVERSED[i]!
    re[i] = k < WINDOW ? samples[at + k]! * HANN[k]! : 0
    im[i] = 0
  }
  transformInPlace()
  for (let b = 0; b < BANDS; b++) {
    const { from, weights } = FILTERS[b]!
    let power = FLOOR_POWER
    for (let i = 0; i < weights.length; i++) {
      const bin = from + i
      power += (weights[i]! * (re[bin]! * re[bin]! + im[bin]! * im[bin]!)) / (WINDOW * WINDOW)
    }
    out[b]! += 0.5 * Math.log(power)
  }
}

/**
 * Sound at 16 kHz, full scale ±1, to frames of ln(power) in 20 mel bands, one every 20 ms; frame f begins at sample 320·f and looks 30 ms ahead.
 * `push` takes any number of samples and calls `emit` with a frame that is written over by the next: copy what is kept.
 */
export class MelFrames {
  private readonly kept = new Float32Array(WINDOW + HOP + 4096)
  private filled = 0
  private readonly frame = new Float32Array(BANDS)

  push(samples: Float32Array, emit: (frame: Float32Array) => void): void {
    for (let at = 0; at < samples.length; ) {
      const take = Math.min(samples.length - at, this.kept.length - this.filled)
      this.kept.set(samples.subarray(at, at + take), this.filled)
      this.filled += take
      at += take
      let begin = 0
      while (begin + WINDOW + HOP <= this.filled) {
        this.frame.fill(0)
        addLook(this.kept, begin, this.frame)
        addLook(this.kept, begin + HOP, this.frame)
        emit(this.frame)
        begin += FRAME
      }
      this.kept.copyWithin(0, begin, this.filled)
      this.filled -= begin
    }
  }
}

/** All frames of a sound at 16 kHz, BANDS values each; the tail is filled with silence so that no sample is left out. */
export function melFramesOf(samples: Float32Array): Float32Array {
  const frames = Math.max(1, Math.round(samples.length / FRAME))
  const out = new Float32Array(frames * BANDS)
  const padded = new Float32Array(frames * FRAME + WINDOW + HOP)
  padded.set(samples.subarray(0, padded.length))
  let f = 0
  new MelFrames().push(padded, (frame) => {
    if (f < frames) out.set(frame, f++ * BANDS)
  })
  return out
}
