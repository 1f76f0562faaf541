import type { Metres, PerMetre, Radians } from '../units.ts'
import type { CornerFeature, CrestFeature } from './route.ts'

const SEED: PerMetre = 1 / 260
const WIDEN: PerMetre = 1 / 700
/** A valley this far below the lesser of its two peaks parts two corners. */
const VALLEY = 0.45
/** What turns less is no corner. */
export const LEAST_TURN: Radians = 0.22
/** Two radii in one corner: at least this ratio, each part this long and turning this much. */
const SPLIT_RATIO = 1.4
const SPLIT_LENGTH: Metres = 12
const SPLIT_TURN: Radians = 0.25
/** Crests sharper than this are features. */
const CREST: PerMetre = 1 / 500

/**
 * Corners of a road on 1 m stations, in order (docs/method/route.md); curvature left positive. With `split` a corner of two radii is two corners.
 */
export function findCorners(curvature: Float64Array, split = true): CornerFeature[] {
  return stretches(curvature).flatMap((span) => cornersOf(curvature, span, split))
}

interface Span {
  readonly from: number
  readonly to: number
}

/** Same-sign runs above the lower threshold that reach the upper one, cut at deep valleys. */
function stretches(k: Float64Array): Span[] {
  const spans: Span[] = []
  for (let i = 0; i < k.length; i++) {
    if (Math.abs(k[i]!) < WIDEN) continue
    let j = i
    let peak = 0
    while (j < k.length && Math.abs(k[j]!) >= WIDEN && Math.sign(k[j]!) === Math.sign(k[i]!))
      peak = Math.max(peak, Math.abs(k[j++]!))
    if (peak >= SEED) spans.push(...cutAtValleys(k, { from: i, to: j }))
    i = j - 1
  }
  return spans
}

function cutAtValleys(k: Float64Array, span: Span): Span[] {
  const left = new Float64Array(span.to - span.from)
  const right = new Float64Array(span.to - span.from)
  for (let i = 0; i < left.length; i++) left[i] = Math.max(left[i - 1] ?? 0, Math.abs(k[span.from + i]!))
  for (let i = right.length - 1; i >= 0; i--) right[i] = Math.max(right[i + 1] ?? 0, Math.abs(k[span.from + i]!))
  let cut = -1
  let deepest = VALLEY
  for (let i = 1; i + 1 < left.length; i++) {
    const share = Math.abs(k[span.from + i]!) / Math.min(left[i]!, right[i]!)
    if (share < deepest) {
      deepest = share
      cut = span.from + i
    }
  }
  if (cut < 0) return [span]
  return [...cutAtValleys(k, { from: span.from, to: cut }), ...cutAtValleys(k, { from: cut, to: span.to })]
}

const turn = (k: Float64Array, from: number, to: number): Radians => {
  let sum = 0
  for (let i = from; i < to; i++) sum += Math.abs(k[i]!)
  return sum
}

function cornersOf(k: Float64Array, span: Span, split: boolean): CornerFeature[] {
  if (turn(k, span.from, span.to) < LEAST_TURN) return []
  const cut = split ? changeOf(k, span) : null
  return cut === null
    ? [corner(k, span)]
    : [...cornersOf(k, { from: span.from, to: cut }, split), ...cornersOf(k, { from: cut, to: span.to }, split)]
}

/** Where two levels of curvature fit a corner's plateau best, when they differ enough; null for one level. */
function changeOf(k: Float64Array, span: Span): number | null {
  const { s1, s2 } = halfHeights(k, span)
  const n = s2 - s1
  if (n < 2 * SPLIT_LENGTH) return null
  const sum = new Float64Array(n + 1)
  for (let i = 0; i < n; i++) sum[i + 1] = sum[i]! + Math.abs(k[s1 + i]!)
  let cut = -1
  let gain = 0
  for (let j = SPLIT_LENGTH; j <= n - SPLIT_LENGTH; j++) {
    const a = sum[j]! / j
    const b = (sum[n]! - sum[j]!) / (n - j)
    if (sum[j]! < SPLIT_TURN || sum[n]! - sum[j]! < SPLIT_TURN || Math.max(a, b) / Math.min(a, b) < SPLIT_RATIO)
      continue
    const better = (j * (n - j) * (a - b) ** 2) / n
    if (better > gain) {
      gain = better
      cut = s1 + j
    }
  }
  return cut < 0 ? null : cut
}

function halfHeights(k: Float64Array, span: Span): { s1: number; s2: number } {
  let peak = 0
  for (let i = span.from; i < span.to; i++) peak = Math.max(peak, Math.abs(k[i]!))
  let s1 = span.from
  while (s1 < span.to - 1 && Math.abs(k[s1]!) < peak / 2) s1++
  let s2 = span.to
  while (s2 > s1 + 1 && Math.abs(k[s2 - 1]!) < peak / 2) s2--
  return { s1, s2 }
}

/** Radius from the middle 70 % between half heights; ends half a ramp outside them, the ramp by its 25 and 75 % crossings. */
function corner(k: Float64Array, span: Span): CornerFeature {
  const { s1, s2 } = halfHeights(k, span)
  const trim = Math.floor((s2 - s1) * 0.15)
  const middle = turn(k, s1 + trim, s2 - trim) / Math.max(1, s2 - s1 - 2 * trim)
  const level = (share: number, backward: boolean) => {
    let i = backward ? span.to - 1 : span.from
    while (i > span.from - 1 && i < span.to && Math.abs(k[i]!) < share * middle) i += backward ? -1 : 1
    return i
  }
  const inward = Math.max(0, level(0.75, false) - level(0.25, false))
  const outward = Math.max(0, level(0.25, true) - level(0.75, true))
  return {
    kind: 'corner',
    side: k[s1]! > 0 ? 'left' : 'right',
    from: Math.max(span.from - 2, s1 - inward),
    to: Math.min(span.to + 2, s2 + outward),
    radius: 1 / middle,
    angle: turn(k, span.from, span.to),
  }
}

/** Crests of a road on 1 m stations, in order; vertical curvature negative. */
export function findCrests(vertical: Float64Array): CrestFeature[] {
  const found: CrestFeature[] = []
  for (let i = 0; i < vertical.length; i++) {
    if (vertical[i]! > -CREST) continue
    let j = i
    let at = i
    while (j < vertical.length && vertical[j]! <= -CREST) {
      if (vertical[j]! < vertical[at]!) at = j
      j++
    }
    found.push({ kind: 'crest', from: i, to: j, at, radius: crestRadius(vertical, at), drawn: false })
    i = j
  }
  return found
}

/** Radius of a crest from the middle 60 % between its half heights: its peak is where the heights' spline rings. */
function crestRadius(vertical: Float64Array, at: number): Metres {
  const half = vertical[at]! / 2
  let from = at
  while (from > 0 && vertical[from - 1]! <= half) from--
  let to = at + 1
  while (to < vertical.length && vertical[to]! <= half) to++
  const trim = Math.floor((to - from) * 0.2)
  let sum = 0
  for (let i = from + trim; i < to - trim; i++) sum += vertical[i]!
  return -(to - from - 2 * trim) / sum
}
