import type { Metres, MetresPerSecond, PerMetre } from '../units.ts'
import type { CornerFeature } from './route.ts'
import type { BesideCurve } from './wanderWhitening.ts'

/**
 * How this log's driver took corners: v = (cap⁻⁸ + (a·R)⁻⁴)^(−1/8), lateral acceleration a in corners the pace was cut for, the usual pace `cap` elsewhere. What a
 * corner was driven at then tells of its radius, as far as the log shows the driver to be even in it.
 */
export interface DrivenPace {
  /** ln of the pace expected at a curvature. */
  readonly expected: (curvature: PerMetre) => number
  /** Mean pace between two stations. */
  readonly between: (from: Metres, to: Metres) => MetresPerSecond
  /** Standard deviation of ln pace about the expected. */
  readonly spread: number
  /** What fixes so far apart and so noisy leave unknown of the pace over an arc of a metre, as a share; over a longer one less in proportion. */
  readonly grain: Metres
}

/** No driver is believed to be more even than this (assumption, no source: half the tenth by which radii of 20 % show). */
const LEAST_SPREAD = 0.1
const FEWEST = 8
/** Share of the way between two fixes that may belong to a ramp driven faster. */
const RAMP_GRAIN = 0.05
/** Pace was cut for a corner where it is less than this share of the usual. */
const CUT = 0.85
const USUAL_SHARE = 0.8
const SHORTEST: Metres = 8

/** Learnt from the corners found and their pace; null where too few were slow enough to learn from. */
export function drivenPace(
  beside: BesideCurve,
  length: Metres,
  corners: readonly CornerFeature[],
  white: Metres,
): DrivenPace | null {
  const { station, time } = beside
  const timeAt = (at: Metres) => {
    let low = 0
    let high = station.length - 1
    while (high - low > 1) {
      const middle = (low + high) >> 1
      if (station[middle]! <= at) low = middle
      else high = middle
    }
    const part = (at - station[low]!) / Math.max(0.1, station[high]! - station[low]!)
    return time[low]! + part * (time[high]! - time[low]!)
  }
  const between = (from: Metres, to: Metres) => {
    const half = Math.max(SHORTEST, to - from) / 2
    const middle = (from + to) / 2
    return (2 * half) / Math.max(0.1, timeAt(middle + half) - timeAt(middle - half))
  }
  const paces: number[] = []
  for (let s = 20; s < length - 20; s += 20) paces.push(between(s - 8, s + 8))
  const cap = sorted(paces)[Math.floor(USUAL_SHARE * paces.length)] ?? 0
  const driven = corners.map((one) => {
    const reach = (one.angle * one.radius) / 4
    const middle = (one.from + one.to) / 2
    return { radius: one.radius, pace: between(middle - reach, middle + reach) }
  })
  const slow = driven.filter((one) => one.pace < CUT * cap)
  if (slow.length < FEWEST) return null
  const lateral = middleOf(slow.map((one) => one.pace ** 2 / one.radius))
  const expected = (curvature: PerMetre) =>
    -Math.log(cap ** -8 + (lateral / Math.max(1e-6, Math.abs(curvature))) ** -4) / 8
  // 1.48 × the median deviation is σ of a normal one.
  const off = middleOf(driven.map((one) => Math.abs(Math.log(one.pace) - expected(1 / one.radius))))
  const apart = middleOf(Array.from(station.subarray(1), (s, i) => s - station[i]!))
  return {
    expected,
    between,
    spread: Math.max(LEAST_SPREAD, 1.48 * off),
    grain: Math.hypot(Math.SQRT2 * white, RAMP_GRAIN * apart),
  }
}

const sorted = (values: readonly number[]) => [...values].sort((a, b) => a - b)
const middleOf = (values: readonly number[]) => sorted(values)[values.length >> 1]!
