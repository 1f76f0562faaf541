import { BANDS } from './melFrames.ts'
import { PRICES, type Prices } from './prices.ts'
import { OVER_FLOOR } from './surroundings.ts'
import type { Template } from './templates.ts'

/** What a stretch of the take is held against. */
export interface Stretch {
  readonly frames: Float32Array
  /** BANDS values a frame, or one row for all. */
  readonly masks: Float32Array
  /** Take's loudness less the templates', each band. */
  readonly shift: Float32Array
  readonly scale: number
}

/** What stands over the floor counts between these, ln(power): a stone is no louder than a vowel. */
const LEAST = -0.5
const MOST = 4
/** Noise may swell as a whole from frame to frame, ln(power): a gust, a gear. It explains everything a little better for looking at each frame first. */
const MOST_SWELL = 1.5
const HINDSIGHT = 0.04
/**
 * Evidence against "noise alone" that a call must have: √frames · (a + artanh ρ). The first is for a call near one that cannot be noise, the second for any other, and for one told
 * live [measured: docs/method/reading.md].
 */
const LIMIT = 1.1
const LIMIT_ALONE = 2.7

/** A template forced onto a stretch: its cost a frame, and how much more than noise alone speaks for it. */
export interface Forced {
  readonly cost: number
  /** Evidence against noise alone, a + artanh ρ. −Infinity when the template cannot reach. */
  readonly overNoise: number
}

/** What is left of evidence from so many frames when its limit is taken off, in costs a frame; below 0 it may be noise alone. */
export const noiseMargin = (overNoise: number, frames: number, nearStrong: boolean): number =>
  overNoise - (nearStrong ? LIMIT : LIMIT_ALONE) / Math.sqrt(Math.max(1, frames))

/** A call that cannot be noise: no stretch of 2350 in takes of nothing else reached the greater limit. */
export const isStrong = (overNoise: number, frames: number): boolean => noiseMargin(overNoise, frames, false) >= 0

/**
 * The template on frames [from, to), by the same warping as in align without pauses, against the take's own noise at that moment. Two things must speak for a voice: `a`, how much
 * cheaper the template is than the floor, as it is or swollen as a whole; and ρ, the correlation over bands and frames of what stands over the floor with what the template would make
 * stand over it, each less its mean of the frame and then of the band, so that neither a gust nor a steady hum counts.
 */
export function forceAgainstNoise(
  stretch: Stretch,
  from: number,
  to: number,
  template: Template,
  prices: Prices = PRICES,
): Forced {
  const { frames, masks, shift, scale } = stretch
  const rows = template.frames
  const count = rows.length / BANDS
  const length = to - from
  const oneMask = masks.length === BANDS
  const unit = (prices.distance * scale) / BANDS
  let before = new Float64Array(count).fill(Number.POSITIVE_INFINITY)
  let now = new Float64Array(count)
  const steps = new Uint8Array(length * count)
  for (let f = 0; f < length; f++) {
    const at = (from + f) * BANDS
    const maskAt = oneMask ? 0 : at
    for (let j = 0; j < count; j++) {
      let least = f === 0 && j === 0 ? 0 : before[j]! + prices.stay
      let by = 0
      if (j > 0 && before[j - 1]! < least) {
        least = before[j - 1]!
        by = 1
      }
      if (j > 1 && before[j - 2]! + prices.skip < least) {
        least = before[j - 2]! + prices.skip
        by = 2
      }
      steps[f * count + j] = by
      if (least === Number.POSITIVE_INFINITY) {
        now[j] = least
        continue
      }
      let sum = 0
      for (let b = 0; b < BANDS; b++) {
        const hidden = masks[maskAt + b]!
        const d = Math.abs(Math.max(frames[at + b]!, hidden) - Math.max(rows[j * BANDS + b]! + shift[b]!, hidden))
        sum += d < prices.most ? d : prices.most
      }
      now[j] = least + unit * sum
    }
    const spare = before
    before = now
    now = spare
  }
  const whole = before[count - 1]!
  const short = count > 1 ? before[count - 2]! + prices.skip : Number.POSITIVE_INFINITY
  const cost = Math.min(whole, short) / Math.max(1, length)
  if (length === 0 || cost === Number.POSITIVE_INFINITY) return { cost, overNoise: Number.NEGATIVE_INFINITY }
  const last = short < whole ? count - 2 : count - 1
  const alike = correlation(stretch, from, length, rows, steps, count, last)
  return {
    cost,
    overNoise: noiseCost(stretch, from, to, prices) - cost + Math.atanh(alike),
  }
}

const over = new Float64Array(BANDS)
const sorted = new Float64Array(BANDS)

/** Cost a frame of noise alone: the floor at that moment, or the floor moved as a whole by the median of what stands over it, whichever is cheaper. */
function noiseCost({ frames, masks, scale }: Stretch, from: number, to: number, prices: Prices): number {
  let [steady, swollen] = [0, 0]
  for (let f = from; f < to; f++) {
    const maskAt = masks.length === BANDS ? 0 : f * BANDS
    for (let b = 0; b < BANDS; b++) {
      over[b] = Math.max(0, frames[f * BANDS + b]! - masks[maskAt + b]!)
      steady += Math.min(prices.most, over[b]!)
    }
    sorted.set(over)
    sorted.sort()
    const swell = Math.min(MOST_SWELL, sorted[BANDS >> 1]!)
    for (let b = 0; b < BANDS; b++) swollen += Math.min(prices.most, Math.abs(over[b]! - swell))
  }
  const unit = (prices.distance * scale) / BANDS / Math.max(1, to - from)
  return Math.min(unit * steady, unit * swollen + HINDSIGHT)
}

/** Correlation of what is heard over the floor with what the template would add to it along its path, −0.99…0.99. */
function correlation(
  { frames, masks, shift }: Stretch,
  from: number,
  length: number,
  rows: Float32Array,
  steps: Uint8Array,
  count: number,
  last: number,
): number {
  const heard = new Float32Array(length * BANDS)
  const meant = new Float32Array(length * BANDS)
  for (let f = length - 1, j = last; f >= 0; f--) {
    const maskAt = masks.length === BANDS ? 0 : (from + f) * BANDS
    for (let b = 0; b < BANDS; b++) {
      const floor = masks[maskAt + b]! - OVER_FLOOR
      heard[f * BANDS + b] = Math.max(LEAST, Math.min(MOST, frames[(from + f) * BANDS + b]! - floor))
      // ln(e^floor + e^template) − floor: powers add.
      const over = rows[j * BANDS + b]! + shift[b]! - floor
      meant[f * BANDS + b] = Math.min(MOST, Math.max(0, over) + Math.log1p(Math.exp(-Math.abs(over))))
    }
    j = Math.max(0, j - steps[f * count + j]!)
  }
  centreInPlace(heard, length)
  centreInPlace(meant, length)
  let [both, own, other] = [0, 1e-9, 1e-9]
  for (let i = 0; i < heard.length; i++) {
    both += heard[i]! * meant[i]!
    own += heard[i]! * heard[i]!
    other += meant[i]! * meant[i]!
  }
  return Math.max(-0.99, Math.min(0.99, both / Math.sqrt(own * other)))
}

/** Takes off each frame's mean, then each band's. */
function centreInPlace(values: Float32Array, length: number): void {
  const bands = new Float64Array(BANDS)
  for (let f = 0; f < length; f++) {
    let mean = 0
    for (let b = 0; b < BANDS; b++) mean += values[f * BANDS + b]! / BANDS
    for (let b = 0; b < BANDS; b++) {
      values[f * BANDS + b]! -= mean
      bands[b]! += values[f * BANDS + b]! / length
    }
  }
  for (let i = 0; i < values.length; i++) values[i]! -= bands[i % BANDS]!
}
