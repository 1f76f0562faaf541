import { jerkSpline } from '../numeric/jerkSpline.ts'
import type { Metres } from '../units.ts'
import type { Fixes } from './cleanFixes.ts'

export interface FittedLine {
  readonly x: Float64Array
  readonly y: Float64Array
  /** σ of one fix, metres. */
  readonly noise: Metres
  readonly strength: number
}

/** Student weights, ν = 4: heavy tails pull less. Two rounds settle (road.md, limits). */
const FREEDOM = 4
const REWEIGHTED = 2
/** Drawn lines: pseudo speed √(2.5/|κ|), 3…25 m/s, so that one strength serves every corner, as recce speed makes it (road.md). */
const LATERAL = 2.5
const SLOWEST = 3
const QUICKEST = 25
const DENSEST: Metres = 2
const WIDEST: Metres = 8
/** A drawn line is meant within this; more noise than it would be reading bends away. */
const MOST_DRAWN_NOISE: Metres = 1.2

/** A log with times, smoothed in time with jerk penalised; both strengths from the data. n ≥ 5. */
export function fitTimed(fixes: Fixes): FittedLine {
  const t = fixes.t!
  let fit = jerkSpline(t, [fixes.x, fixes.y])
  for (let round = 0; round < REWEIGHTED; round++) {
    const weights = fixes.x.map((x, i) => {
      const r2 = ((x - fit.values[0]![i]!) ** 2 + (fixes.y[i]! - fit.values[1]![i]!) ** 2) / fit.noise ** 2
      return (FREEDOM + 2) / (FREEDOM + r2)
    })
    // Weights shift the likelihood's own scale, so q and σ stay as the first fit found them.
    fit = jerkSpline(t, [fixes.x, fixes.y], weights, fit)
  }
  return { x: fit.values[0]!, y: fit.values[1]!, noise: fit.noise, strength: fit.strength }
}

/** A drawn line (no times, or a clock too sparse to use): the same prior in a time made from the line's own bends. */
export function fitDrawn(fixes: Fixes): FittedLine {
  const dense = densify(fixes)
  const time = pseudoTime(dense.x, dense.y)
  const fit = jerkSpline(time, [dense.x, dense.y])
  const bounded =
    fit.noise > MOST_DRAWN_NOISE
      ? jerkSpline(time, [dense.x, dense.y], undefined, { strength: fit.strength, noise: MOST_DRAWN_NOISE })
      : fit
  return { x: bounded.values[0]!, y: bounded.values[1]!, noise: bounded.noise, strength: bounded.strength }
}

/** Points along the chords, near the half of the median spacing apart: a spline through uneven fixes would loop. */
function densify(fixes: Fixes): { x: number[]; y: number[] } {
  const n = fixes.x.length
  const steps = fixes.x.slice(1).map((x, i) => Math.hypot(x - fixes.x[i]!, fixes.y[i + 1]! - fixes.y[i]!))
  const median = [...steps].sort((a, b) => a - b)[steps.length >> 1] ?? DENSEST
  const h = Math.min(WIDEST, Math.max(DENSEST, median / 2))
  const x: number[] = []
  const y: number[] = []
  for (let i = 0; i + 1 < n; i++) {
    const parts = Math.max(1, Math.round(steps[i]! / h))
    for (let k = 0; k < parts; k++) {
      x.push(fixes.x[i]! + ((fixes.x[i + 1]! - fixes.x[i]!) * k) / parts)
      y.push(fixes.y[i]! + ((fixes.y[i + 1]! - fixes.y[i]!) * k) / parts)
    }
  }
  x.push(fixes.x[n - 1]!)
  y.push(fixes.y[n - 1]!)
  return { x, y }
}

/** How far on each side the bend of a drawn line is looked at. */
const LOOK: Metres = 12

function pseudoTime(x: readonly number[], y: readonly number[]): Float64Array {
  const n = x.length
  const s = new Float64Array(n)
  for (let i = 1; i < n; i++) s[i] = s[i - 1]! + Math.hypot(x[i]! - x[i - 1]!, y[i]! - y[i - 1]!)
  const time = new Float64Array(n)
  let a = 0
  let b = 0
  for (let i = 1; i < n; i++) {
    while (s[i]! - s[a + 1]! > LOOK && a + 1 < i) a++
    while (b < n - 1 && s[b]! - s[i]! < LOOK) b++
    const bend = b > i && i > a ? Math.abs(turning(x, y, a, i, b)) / ((s[b]! - s[a]!) / 2) : 0
    const speed = Math.min(QUICKEST, Math.max(SLOWEST, Math.sqrt(LATERAL / Math.max(bend, 1e-5))))
    time[i] = time[i - 1]! + Math.max(1e-3, s[i]! - s[i - 1]!) / speed
  }
  return time
}

function turning(x: readonly number[], y: readonly number[], a: number, i: number, b: number): number {
  const ux = x[i]! - x[a]!
  const uy = y[i]! - y[a]!
  const vx = x[b]! - x[i]!
  const vy = y[b]! - y[i]!
  return Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)
}
