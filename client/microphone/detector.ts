/** Blocks as a sound card hands them out. All lengths below are counted in blocks of 128 samples at about 48 kHz: 2.67 ms. */
export const BLOCK = 128
const FAST = 2
const SLOW = 10
/** Blocks a minimum is taken over (0.2 s), how many are remembered (2.4 s), and which of them tells the floor. */
const LOOK = 75
const LOOKS = 12
const KTH = 3
const BIAS = 1.5
/** The floor is never further than this under the loudest, as a power. */
const DEEPEST = 10 ** -4.6
const QUIET_MEMORY = 400
const TRIGGER = 4
const BACK = 40
const HANG = 30
const SHORTEST = 12
const VOICED = 3
/** Look for a voice every so many blocks: autocorrelation at about 8 kHz, lags of 70 to 400 Hz, this much alike. */
const VOICE_EVERY = 4
const ALIKE = 0.7

/** A stretch that is louder than its surroundings, in samples of the input. */
export interface Sounding {
  readonly from: number
  readonly to: number
  /** False: a click, cough, breath or rustle. */
  readonly speech: boolean
}

/** Second-order section (bilinear, Q 0.707): high or low pass. */
class Section {
  private readonly c: readonly [number, number, number, number, number]
  private x1 = 0
  private x2 = 0
  private y1 = 0
  private y2 = 0
  constructor(kind: 'high' | 'low', hertz: number, rate: number) {
    const w = (2 * Math.PI * Math.min(hertz, rate * 0.45)) / rate
    const alpha = Math.sin(w) / Math.SQRT2
    const cos = Math.cos(w)
    const a0 = 1 + alpha
    const b1 = kind === 'low' ? 1 - cos : -(1 + cos)
    const b0 = kind === 'low' ? b1 / 2 : -b1 / 2
    this.c = [b0 / a0, b1 / a0, b0 / a0, (-2 * cos) / a0, (1 - alpha) / a0]
  }
  run(x: number): number {
    const [b0, b1, b2, a1, a2] = this.c
    const y = b0 * x + b1 * this.x1 + b2 * this.x2 - a1 * this.y1 - a2 * this.y2
    this.x2 = this.x1
    this.x1 = x
    this.y2 = this.y1
    this.y1 = y
    return y
  }
}

/** One band: its energy against a floor that follows the noise, and a mark of 0, 1 or 2 a block. */
class Band {
  private readonly sections: readonly Section[]
  private fast = 0
  private slow = 0
  private minimum = Number.POSITIVE_INFINITY
  private readonly minima: number[] = []
  private floor = Number.POSITIVE_INFINITY
  private peak = 0
  private mean = 0
  private square = 0.05
  private blocks = 0
  constructor(sections: readonly Section[]) {
    this.sections = sections
  }

  push(block: Float32Array, speaking: boolean): 0 | 1 | 2 {
    let power = 0
    for (let i = 0; i < block.length; i++) {
      let v = block[i]!
      for (let s = 0; s < this.sections.length; s++) v = this.sections[s]!.run(v)
      power += v * v
    }
    power = power / block.length + 1e-12
    this.fast += (power - this.fast) / FAST
    this.slow += (power - this.slow) / SLOW
    this.peak = Math.max(this.fast, this.peak * (1 - 1 / 375))
    this.minimum = Math.min(this.minimum, this.slow)
    this.blocks++
    if (this.blocks % LOOK === 0) {
      this.minima.push(this.minimum)
      if (this.minima.length > LOOKS) this.minima.shift()
      this.minimum = Number.POSITIVE_INFINITY
    }
    if (this.blocks % 8 === 0 || this.blocks < 8) {
      const known = [...this.minima].sort((a, b) => a - b)
      const least = known[Math.min(KTH, known.length) - 1] ?? this.slow
      this.floor = Math.max(BIAS * least, this.peak * DEEPEST, 1e-11)
    }
    const over = Math.log(Math.max(1e-6, this.fast / this.floor))
    const follow = 1 / (QUIET_MEMORY * (speaking ? 10 : 1))
    if (!speaking || over < 1) {
      this.mean += (over - this.mean) * follow
      this.square += ((over - this.mean) ** 2 - this.square) * follow
    }
    const spread = Math.sqrt(this.square)
    if (over > Math.max(Math.log(3.5), this.mean + 2.5 * spread)) return 2
    return over > Math.max(Math.log(2), this.mean + 1.3 * spread) ? 1 : 0
  }
}

/**
 * Speech from a microphone, block by block, on the sound card's own count of samples: three bands (250–2500, above 3000, 1500–3500 Hz), each against its own
 * floor; a start is dated back to where the band first stood out; a stretch without a voice in it is noise. Constants: docs/method/reading.md [measured].
 */
export class Detector {
  private readonly bands: readonly Band[]
  private readonly marks = [
    new Uint8Array(BACK + TRIGGER),
    new Uint8Array(BACK + TRIGGER),
    new Uint8Array(BACK + TRIGGER),
  ]
  private readonly every: number
  private readonly history: Float32Array
  private readonly lags: { readonly from: number; readonly to: number }
  private filled = 0
  private block = 0
  private onset = -1
  private lastMarked = 0
  private voiced = 0
  private before = 0

  constructor(rate: number) {
    if (!(rate >= 8000)) throw new RangeError(`Detector: rate must be >= 8000, got ${rate}`)
    this.bands = [
      new Band([new Section('high', 250, rate), new Section('low', 2500, rate)]),
      new Band([new Section('high', 3000, rate)]),
      new Band([new Section('high', 1500, rate), new Section('low', 3500, rate)]),
    ]
    this.every = Math.max(1, Math.round(rate / 8000))
    const low = rate / this.every
    this.lags = { from: Math.floor(low / 400), to: Math.ceil(low / 70) }
    this.history = new Float32Array(2 * this.lags.to)
  }

  get speaking(): boolean {
    return this.onset >= 0
  }

  /** One block of BLOCK samples; a stretch that ended with it, or null. */
  push(samples: Float32Array): Sounding | null {
    const at = this.block++
    let marked = false
    for (let b = 0; b < this.bands.length; b++) {
      const mark = this.bands[b]!.push(samples, this.onset >= 0)
      this.marks[b]![at % (BACK + TRIGGER)] = mark
      if (mark > 0) marked = true
    }
    this.remember(samples)
    if (this.onset < 0) {
      for (let b = 0; b < this.bands.length && this.onset < 0; b++)
        if (this.triggered(b, at)) this.onset = this.backFrom(b, at)
      if (this.onset >= 0) {
        this.lastMarked = at
        this.voiced = 0
      }
    } else {
      // Two blocks running: a single one is a click of the noise.
      if (marked && this.before === at - 1) this.lastMarked = at
      if (at % VOICE_EVERY === 0 && this.hasVoice()) this.voiced++
    }
    if (marked) this.before = at
    if (this.onset < 0 || at - this.lastMarked < HANG) return null
    const found = {
      from: this.onset * BLOCK,
      to: (this.lastMarked + 1) * BLOCK,
      speech: this.lastMarked - this.onset >= SHORTEST && this.voiced >= VOICED,
    }
    this.onset = -1
    return found
  }

  private triggered(band: number, at: number): boolean {
    if (at < TRIGGER) return false
    for (let k = 0; k < TRIGGER; k++) if (this.marks[band]![(at - k) % (BACK + TRIGGER)] !== 2) return false
    return true
  }

  private backFrom(band: number, at: number): number {
    let first = at - TRIGGER + 1
    for (let k = at - TRIGGER; k > Math.max(0, at - BACK); k--) {
      if (this.marks[band]![k % (BACK + TRIGGER)]! >= 1) first = k
      else if (k < first - 1) break
    }
    return first
  }

  private remember(samples: Float32Array): void {
    for (let i = 0; i + this.every <= samples.length; i += this.every) {
      let sum = 0
      for (let k = 0; k < this.every; k++) sum += samples[i + k]!
      this.history[this.filled++ % this.history.length] = sum / this.every
    }
  }

  private hasVoice(): boolean {
    const { history, filled } = this
    const length = history.length
    if (filled < length) return false
    const first = filled % length
    const half = length / 2
    let own = 1e-9
    for (let i = 0; i < half; i++) own += history[(first + i) % length]! ** 2
    for (let lag = this.lags.from; lag <= this.lags.to; lag++) {
      let [cross, other] = [0, 1e-9]
      for (let i = 0; i < half; i++) {
        const b = history[(first + i + lag) % length]!
        cross += history[(first + i) % length]! * b
        other += b * b
      }
      if (cross > ALIKE * Math.sqrt(own * other)) return true
    }
    return false
  }
}
