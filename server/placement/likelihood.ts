import { lognormal, normal } from '../numeric/normal.ts'
import type { CornerFeature, RoadFeature } from '../route/route.ts'
import type { Metres } from '../units.ts'
import type { CallView } from './callView.ts'
import { shownDensity } from './shownRadius.ts'

/** The crew's scale as placement uses it: ln radius of each grade name, one spread, and called ÷ road distance. */
export interface Scale {
  readonly mu: ReadonlyMap<string, number>
  readonly sigma: number
  readonly odometer: number
  /** By how much more than the road's own gap the crew measures from corner to corner, where it ends a corner sooner than the road shows; absent is 0. */
  readonly ends?: Metres
  /** How far the road's making flattens short tight bends (`shownLnRadius`); absent is not at all. */
  readonly blur?: number
}

export const DEFAULT_SIGMA = 0.25
/** Step between neighbouring grades in ln radius (default radii, from memory: 17 27 42 65 100 150). */
export const GRADE_STEP = 0.45
/** Background of corner radii and angles, ln. */
const BACKGROUND = { mean: Math.log(55), sigma: 0.9 }
export const NEVER = -1e9

export const sig = (x: number): number => 1 / (1 + Math.exp(-x))

/** Probability that a crew calls a corner at all (docs/method/placement.md). */
export function pCalled(corner: CornerFeature): number {
  return 0.97 * sig((Math.log(200) - Math.log(corner.radius)) / 0.3) * sig((corner.angle - 0.12) / 0.04) + 0.01
}

export const lnRadius = (call: CallView, scale: Scale): number | null =>
  call.grade === null ? null : (scale.mu.get(call.grade.name) ?? Math.log(call.grade.radius))

/** ln ratio of a radius against background, for the call's grade: right, one off, or anything. */
export function radiusTerm(call: CallView, lnR: number, angle: number, scale: Scale): number {
  const mu = lnRadius(call, scale)
  if (mu === null) return 0
  return gradeTerm(mu, call.flat, lnR, scale.sigma, angle, scale.blur)
}

/** Probability that a radius is that of the grade meant, not of a neighbour or of anything. */
export function meantShare(mu: number, flat: boolean, lnR: number, sigma: number): number {
  const x = flat ? Math.min(lnR, mu) : lnR
  const meant = 0.9 * normal(x, mu, sigma)
  const off = normal(x, mu - GRADE_STEP, sigma) + normal(x, mu + GRADE_STEP, sigma)
  return meant / (meant + 0.04 * off + 0.02 * normal(x, BACKGROUND.mean, BACKGROUND.sigma))
}

function gradeTerm(mu: number, flat: boolean, lnR: number, sigma: number, angle = 1, blur = 0): number {
  const x = flat ? Math.min(lnR, mu) : lnR
  const background = normal(x, BACKGROUND.mean, BACKGROUND.sigma)
  const off =
    shownDensity(x, mu - GRADE_STEP, sigma, angle, blur) + shownDensity(x, mu + GRADE_STEP, sigma, angle, blur)
  return Math.log((0.9 * shownDensity(x, mu, sigma, angle, blur) + 0.04 * off + 0.02 * background) / background)
}

function angleTerm(call: CallView, angle: number): number {
  const p = 0.05 + 0.9 * sig((angle - 1.25) / 0.15)
  const hairpin = call.hairpin ? Math.log((0.05 + 0.9 * sig((angle - 2.1) / 0.2)) / 0.25) : 0
  if (call.hairpin) return hairpin
  if (call.long === 2) return Math.log((0.05 + 0.9 * sig((angle - 2.2) / 0.25)) / 0.1)
  return call.long === 1 ? Math.log(p / 0.3) : Math.log((1 - p) / 0.7)
}

const directionTerm = (call: CallView, side: CornerFeature['side']): number =>
  call.side === null ? 0 : call.side === side ? Math.log(0.97 / 0.5) : Math.log(0.03 / 0.5)

/** Heights miss crests, so their word is weak. */
const crestTerm = (call: CallView, near: boolean): number =>
  call.crest ? (near ? Math.log(0.7 / 0.2) : Math.log(0.3 / 0.8)) : 0

/** One call on one corner. */
export function oneOnOne(call: CallView, corner: CornerFeature, crestNear: boolean, scale: Scale): number {
  return (
    Math.log(0.94) +
    directionTerm(call, corner.side) +
    radiusTerm(call, Math.log(corner.radius), corner.angle, scale) +
    angleTerm(call, corner.angle) +
    crestTerm(call, crestNear) +
    Math.log(pCalled(corner))
  )
}

/** One call on a run of two or three same-side corners: a compound the road shows in parts. */
export function oneOnSeveral(
  call: CallView,
  corners: readonly CornerFeature[],
  crestNear: boolean,
  scale: Scale,
): number {
  const first = corners[0]!
  const last = corners.at(-1)!
  let gaps = 0
  for (let i = 1; i < corners.length; i++) {
    const gap = corners[i]!.from - corners[i - 1]!.to
    if (gap >= 30) return NEVER
    gaps += Math.log(sig((12 - gap) / 3) + 0.01)
  }
  const price = Math.log(corners.length === 2 ? 0.05 : 0.01)
  const angle = corners.reduce((sum, one) => sum + one.angle, 0)
  const t = Math.log(last.radius / first.radius)
  let radii: number
  if (call.change) {
    const signed = call.change.sense === 'opens' ? t : -t
    const target = call.change.grade
    const second =
      target === null
        ? 0
        : gradeTerm(scale.mu.get(target.name) ?? Math.log(target.radius), false, Math.log(last.radius), scale.sigma)
    radii =
      radiusTerm(call, Math.log(first.radius), first.angle, scale) +
      second +
      Math.log(3.5 * sig((signed - 0.1) / 0.12) + 0.05) +
      Math.log(4)
  } else {
    const mean = Math.log(corners.reduce((sum, one) => sum + one.radius * one.angle, 0) / angle)
    const best = Math.max(
      radiusTerm(call, mean, angle, scale),
      radiusTerm(call, Math.log(last.radius), last.angle, scale) - 0.7,
      radiusTerm(call, Math.log(first.radius), first.angle, scale) - 0.7,
    )
    radii = best + Math.log((0.8 * normal(t, 0, 0.17) + 0.2 * normal(t, 0, 0.6)) / normal(t, 0, 1.2))
  }
  return (
    price +
    gaps +
    directionTerm(call, first.side) +
    radii +
    angleTerm(call, angle) +
    crestTerm(call, crestNear) +
    Math.log(pCalled(first))
  )
}

/** Two calls on one corner that the road shows merged: radius and angle the two together would show, each ± 0.3 in ln. */
export function severalOnOne(
  a: CallView,
  b: CallView,
  corner: CornerFeature,
  crestNear: boolean,
  scale: Scale,
): number {
  if (a.side !== b.side && a.side !== null && b.side !== null) return NEVER
  const close = a.link !== null || (a.distance > 0 && a.distance <= 30)
  if (!close) return NEVER
  const Ra = Math.exp(lnRadius(a, scale) ?? BACKGROUND.mean)
  const Rb = Math.exp(lnRadius(b, scale) ?? BACKGROUND.mean)
  const angle = a.usualAngle + b.usualAngle
  const R = (Ra * a.usualAngle + Rb * b.usualAngle + Math.max(a.distance, a.link ?? 0)) / angle
  const lnR = Math.log(corner.radius)
  const lnA = Math.log(corner.angle)
  const radius = Math.log((normal(lnR, Math.log(R), 0.3) + 1e-4) / normal(lnR, BACKGROUND.mean, BACKGROUND.sigma))
  const turned = Math.log((normal(lnA, Math.log(angle), 0.3) + 1e-4) / normal(lnA, Math.log(0.8), 0.6))
  return (
    Math.log(0.02) +
    directionTerm(a, corner.side) +
    directionTerm(b, corner.side) +
    radius +
    turned +
    crestTerm(b, crestNear) +
    Math.log(pCalled(corner))
  )
}

/** A crest call on a crest. */
export const crestOnCrest = (): number => Math.log(0.94) + Math.log(0.6 / 0.2)

export function skipCallPrice(call: CallView): number {
  return call.kind === 'corner' ? Math.log(0.01) : Math.log(0.35)
}

export function skipFeaturePrice(feature: RoadFeature, inCorner: boolean): number {
  if (feature.kind === 'corner') return Math.log(1 - pCalled(feature))
  return Math.log(0.4) * (inCorner ? 0.3 : 1)
}

/** Chance that what is said between two places is an outlier: a distance, a link, nothing. */
const OUTLIER = 0.04
export const lostPrice = (call: CallView): number =>
  call.distance > 0 ? Math.log(OUTLIER) : call.link !== null ? Math.log(0.02 / 0.3) : 0

/** Variance of a called distance over a gap: two ends ± 5 m, rounding to tens, 6 % (docs/method/placement.md). */
const variance = (gap: Metres, rounding: Metres) => 2 * 25 + rounding ** 2 / 12 + (0.06 * gap) ** 2

function saidOver(distance: Metres, gap: Metres, scale: Scale, rounding: Metres): number {
  return normal(distance, scale.odometer * (gap + (scale.ends ?? 0)), Math.sqrt(variance(gap, rounding)))
}

/**
 * ln ratio of what is said between two neighbouring calls against a real gap. `sharp` are gaps to uncalled sharp corners on the way: the
 * distance may lead to one whose call is missing.
 */
export function pairTerm(
  call: CallView,
  gap: Metres,
  sharp: readonly Metres[],
  scale: Scale,
  rounding: Metres,
): number {
  if (call.distance > 0) {
    // No closures here: this is the innermost of placement.
    let missing = 0
    for (const g of sharp) missing += saidOver(call.distance, g, scale, rounding)
    const own = saidOver(call.distance, gap, scale, rounding)
    const mixed = sharp.length === 0 ? own : 0.75 * own + (0.25 * missing) / sharp.length
    return Math.log(((1 - OUTLIER) * mixed + 1e-12) / lognormal(call.distance, 75, 0.8))
  }
  if (call.link !== null) return Math.log((0.9 * 0.98 * sig((35 - gap) / 8) + 1e-6) / 0.3)
  return 0
}

/** The same over one or two calls that no feature shows: distances summed, links 12 m, phantom corners 0.8·R long. */
export function skippedPairTerm(calls: readonly CallView[], gap: Metres, scale: Scale, rounding: Metres): number {
  let said = 0
  let spread = 0
  let any = false
  for (let i = 0; i < calls.length; i++) {
    const call = calls[i]!
    if (call.distance > 0) any = true
    const between = call.distance > 0 ? call.distance : call.link === null ? 40 : 12
    said += between
    spread += variance(between, rounding) + (call.distance > 0 || call.link !== null ? 0 : 30 ** 2)
    if (i > 0 && call.kind === 'corner') {
      const length = 0.8 * Math.exp(lnRadius(call, scale) ?? BACKGROUND.mean)
      said += length
      spread += (0.4 * length) ** 2
    }
  }
  if (!any) return 0
  return Math.log(
    ((1 - OUTLIER) * normal(said, scale.odometer * (gap + (scale.ends ?? 0)), Math.sqrt(spread)) + 1e-12) /
      lognormal(said, 150, 0.8),
  )
}
