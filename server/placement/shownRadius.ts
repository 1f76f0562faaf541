import { normal } from '../numeric/normal.ts'
import type { Route } from '../route/route.ts'
import type { Metres, Radians } from '../units.ts'

/**
 * ln radius that a road made from a log shows of a corner of ln radius μ turning by A: short tight bends hold one or two fixes and read too wide,
 *   R_shown = (R⁴ + (blur/A²)⁴)^¼.
 * Measured form: what a log tells of a bend is how far it cuts the corner of its two straights, R·A²/8. A > 0; blur ≥ 0 in m·rad², absent is none.
 */
export function shownLnRadius(mu: number, angle: Radians, blur: number | undefined): number {
  if (!blur) return mu
  return 0.25 * Math.log(Math.exp(4 * mu) + (blur / turned(angle) ** 2) ** 4)
}

/**
 * How far the shown radius strays from that, σ of ln R: noise of position against R·A²/8, and a little that every corner has,
 *   σ² = 0.08² + (0.2·blur / R A²)².
 * The same sign, units and ranges; 0 where nothing is flattened.
 */
export function shownSpread(mu: number, angle: Radians, blur: number | undefined): number {
  if (!blur) return 0
  return Math.hypot(LEAST_SPREAD, (SHORT_SPREAD * blur) / (Math.exp(mu) * turned(angle) ** 2))
}

/**
 * Density of the ln radius shown, for corners of ln radius μ ± σ turning by A: normal about what is shown on average, and, the shorter the bend,
 * a chance p that its fixes fell so that it reads as wide as the smoothing is long, anything up to R = UNRESOLVED/A:
 *   p = 1/(1 + (R A²/(0.22·blur))²).
 * σ > 0; the same sign, units and ranges.
 */
export function shownDensity(lnR: number, mu: number, sigma: number, angle: Radians, blur: number | undefined): number {
  if (!blur) return normal(lnR, mu, sigma)
  const centre = shownLnRadius(mu, angle, blur)
  const spread = shownSpread(mu, angle, blur)
  // The innermost of placement: Math.hypot is slow.
  const sharp = normal(lnR, centre, Math.sqrt(sigma * sigma + spread * spread))
  const p = 1 / (1 + ((Math.exp(mu) * turned(angle) ** 2) / (MISSED * blur)) ** 2)
  const widest = Math.log(UNRESOLVED / turned(angle))
  if (widest <= centre) return sharp
  // Even between the two, its ends as soft as the crew's scale.
  const even = (step((lnR - centre) / sigma) * step((widest - lnR) / sigma)) / (widest - centre)
  return (1 - p) * sharp + p * even
}

/** Blur of a log of about one fix a second with a telephone's noise [measured on the made stages of tests/made]. */
export const LOG_BLUR: Metres = 12
/** How far a road's making flattens its bends: only logs do. */
export const blurOf = (route: Route): Metres => (route.source === 'measured' ? LOG_BLUR : 0)
const LEAST_SPREAD = 0.08
const SHORT_SPREAD = 0.2
const MISSED = 0.22
/** Arc that a bend takes at most when its fixes miss it: that of the smoothing. */
const UNRESOLVED: Metres = 45
/** No crew calls a tight corner that turns less: a bend is flattened as one turning so much at least. */
const LEAST_ANGLE: Radians = 0.4

const turned = (angle: Radians): Radians => Math.max(LEAST_ANGLE, angle)
/** The normal distribution's sum, by the logistic one within 0.01. */
const step = (x: number): number => 1 / (1 + Math.exp(-1.702 * x))
