import { BANDS } from './melFrames.ts'

/** Frames a minimum is taken over (0.24 s) and how many such minima tell the floor: 2.4 s, so that one dip of the engine does not set it. */
const LOOK = 12
const LOOKS = 10
const KTH = 3
/** From a third smallest minimum up to the mean of noise, ln(power) [measured on synthetic cabins]. */
const BIAS = 0.35
/** Bands less than this above the floor tell nothing: 2.2 dB. More hides what little is left of a voice in noise. */
export const OVER_FLOOR = 0.5
/** Nor those more than this under loud speech (20 dB): it hides breaths and the room. */
const UNDER_SPEECH = 4.5
/** Loudness of speech in a band: this share of all frames is quieter. */
const LEVEL_SHARE = 0.95
/** Distances are scaled so that this share of frames stands EXCESS over the mask. */
const SCALE_SHARE = 0.65
const EXCESS = 1.9
const LEAST_SCALE = 1.8
const MOST_SCALE = 3
/** Live, older frames count less: over about 33 s. */
const KEEP = 1 - 1 / (33 * 50)

const LOWEST = -26
const BINS = 340
const STEP = 0.1

/** A histogram of ln(power) in steps of 0.1; weights may fade. */
export class Histogram {
  private readonly counts = new Float64Array(BINS)
  private total = 0
  private weight = 1
  private readonly growth: number

  constructor(keep = 1) {
    this.growth = 1 / keep
  }

  add(value: number): void {
    const bin = Math.max(0, Math.min(BINS - 1, Math.floor((value - LOWEST) / STEP)))
    this.counts[bin]! += this.weight
    this.total += this.weight
    // Newer frames weigh more instead of older ones less: one multiplication a frame, not one a bin.
    this.weight *= this.growth
    if (this.weight > 1e12) {
      for (let b = 0; b < BINS; b++) this.counts[b]! /= this.weight
      this.total /= this.weight
      this.weight = 1
    }
  }

  /** Value below which `share` of the weight lies; LOWEST when empty. */
  quantile(share: number): number {
    let left = this.total * share
    for (let b = 0; b < BINS; b++) {
      left -= this.counts[b]!
      if (left < 0) return LOWEST + (b + 0.5) * STEP
    }
    return LOWEST
  }
}

/** What the aligner compares with at one frame. */
export interface Surroundings {
  /** Mask of each band, ln(power): what lies below is as good as not there. */
  readonly mask: Float32Array
  /** Loudness of the reader's speech in each band. */
  readonly level: Float32Array
  readonly scale: number
}

function thirdSmallest(values: ArrayLike<number>, from: number, to: number, stride: number, offset: number): number {
  let [a, b, c] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]
  for (let i = from; i < to; i++) {
    const v = values[i * stride + offset]!
    if (v < a) [a, b, c] = [v, a, b]
    else if (v < b) [b, c] = [v, b]
    else if (v < c) c = v
  }
  return to - from >= KTH ? c : to - from === 2 ? b : a
}

const clampScale = (excess: number) => Math.max(LEAST_SCALE, Math.min(MOST_SCALE, EXCESS / Math.max(1e-6, excess)))

/** How far a frame stands over the mask: mean over bands, ln(power). */
export function excessOver(frame: ArrayLike<number>, at: number, mask: ArrayLike<number>, maskAt: number): number {
  let sum = 0
  for (let b = 0; b < BANDS; b++) sum += Math.max(0, frame[at + b]! - mask[maskAt + b]!)
  return sum / BANDS
}

/** Floor, loudness and scale of a whole take, with hindsight: floors are centred. `frames` holds BANDS values a frame. */
export function surroundingsOf(frames: Float32Array): {
  masks: Float32Array
  level: Float32Array
  scale: number
  floors: Float32Array
} {
  const count = frames.length / BANDS
  const looks = Math.max(1, Math.ceil(count / LOOK))
  const minima = new Float32Array(looks * BANDS).fill(40)
  for (let f = 0; f + 1 < count; f++) {
    const w = Math.floor(f / LOOK)
    for (let b = 0; b < BANDS; b++) {
      const mean = (frames[f * BANDS + b]! + frames[(f + 1) * BANDS + b]!) / 2
      if (mean < minima[w * BANDS + b]!) minima[w * BANDS + b] = mean
    }
  }
  const level = new Float32Array(BANDS)
  for (let b = 0; b < BANDS; b++) {
    const histogram = new Histogram()
    for (let f = 0; f < count; f++) histogram.add(frames[f * BANDS + b]!)
    level[b] = histogram.quantile(LEVEL_SHARE)
  }
  const floors = new Float32Array(looks * BANDS)
  const masks = new Float32Array(count * BANDS)
  const excess = new Histogram()
  for (let w = 0; w < looks; w++) {
    const from = Math.max(0, Math.min(w - LOOKS / 2, looks - LOOKS))
    const to = Math.min(looks, from + LOOKS)
    for (let b = 0; b < BANDS; b++) {
      const floor = thirdSmallest(minima, from, to, BANDS, b) + BIAS
      floors[w * BANDS + b] = floor
      const mask = Math.max(floor + OVER_FLOOR, level[b]! - UNDER_SPEECH)
      for (let f = w * LOOK; f < Math.min(count, (w + 1) * LOOK); f++) masks[f * BANDS + b] = mask
    }
  }
  for (let f = 0; f < count; f++) excess.add(excessOver(frames, f * BANDS, masks, f * BANDS))
  return { masks, level, scale: clampScale(excess.quantile(SCALE_SHARE)), floors }
}

/**
 * The same as it can be known at each moment: floors from the past, loudness and scale that forget over about 33 s and begin with `level`, what the set-up
 * or an earlier take heard of this reader.
 */
export class LiveSurroundings implements Surroundings {
  readonly mask = new Float32Array(BANDS)
  readonly level: Float32Array
  scale = 1
  private readonly floor = new Float32Array(BANDS)
  private readonly levels = Array.from({ length: BANDS }, () => new Histogram(KEEP))
  private readonly excess = new Histogram(KEEP)
  private readonly minima = new Float32Array(LOOKS * BANDS)
  private readonly current = new Float32Array(BANDS).fill(40)
  private readonly before = new Float32Array(BANDS)
  private frames = 0

  constructor(level: Float32Array) {
    if (level.length !== BANDS)
      throw new RangeError(`LiveSurroundings: level needs ${BANDS} bands, got ${level.length}`)
    this.level = level.slice()
    // As if ten seconds of this reader had been heard, a third of it loud.
    for (let i = 0; i < 500; i++) {
      for (let b = 0; b < BANDS; b++) this.levels[b]!.add(i % 10 === 0 ? level[b]! : level[b]! - 6)
      this.excess.add(i % 3 === 0 ? EXCESS * 1.2 : EXCESS * 0.8)
    }
  }

  push(frame: Float32Array): void {
    const look = Math.floor(this.frames / LOOK)
    if (this.frames % LOOK === 0 && this.frames > 0) {
      this.minima.set(this.current, ((look - 1) % LOOKS) * BANDS)
      this.current.fill(40)
    }
    const known = Math.min(LOOKS, look)
    for (let b = 0; b < BANDS; b++) {
      if (this.frames > 0) this.current[b] = Math.min(this.current[b]!, (frame[b]! + this.before[b]!) / 2)
      this.before[b] = frame[b]!
      this.levels[b]!.add(frame[b]!)
      if (this.frames % LOOK === 0) {
        this.level[b] = this.levels[b]!.quantile(LEVEL_SHARE)
        // Until a whole look is heard the first frames have to do.
        this.floor[b] = known > 0 ? thirdSmallest(this.minima, 0, known, BANDS, b) + BIAS : frame[b]! + BIAS
        this.mask[b] = Math.max(this.floor[b]! + OVER_FLOOR, this.level[b]! - UNDER_SPEECH)
      }
    }
    this.excess.add(excessOver(frame, 0, this.mask, 0))
    if (this.frames % LOOK === 0) this.scale = clampScale(this.excess.quantile(SCALE_SHARE))
    this.frames++
  }
}
