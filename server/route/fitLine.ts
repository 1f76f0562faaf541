import { jerkSpline } from '../numeric/jerkSpline.ts'
import type { Metres, Seconds } from '../units.ts'
import type { Fixes } from './fixes.ts'
import { refineCurve } from './refineCurve.ts'

export interface FittedLine {
  readonly x: Float64Array
  readonly y: Float64Array
  /** Where each fix stands, in nodes (2.25: a quarter between nodes 2 and 3). */
  readonly fixNodes: ArrayLike<number>
  /** σ of one fix, metres. */
  readonly noise: Metres
  readonly strength: number
}

/** Student weights, ν = 4: heavy tails pull less. Two rounds settle (docs/method/route.md). */
const FREEDOM = 4
const REWEIGHTED = 2
/** Drawn lines: pseudo speed √(2.5/|κ|), 3…25 m/s, so that one strength serves every corner, as recce speed makes it (docs/method/route.md). */
const LATERAL = 2.5
const SLOWEST = 3
const QUICKEST = 25
const DENSEST: Metres = 2
const WIDEST: Metres = 8
/** How a curve is brought to its fixes across the road (refineCurve), logs and drawn lines alike. */
const REFINED = { step: 2, rounds: 4, slowest: 6, quickest: 25 } as const
/** A drawn line is meant within this; more noise than it would be reading bends away. */
const MOST_DRAWN_NOISE: Metres = 1.2

/** A log with times, smoothed in time with jerk penalised; both strengths from the data. n ≥ 5. */
export function fitTimed(fixes: Fixes): FittedLine {
  const t = fixes.t!
  let fit = jerkSpline(t, [fixes.x, fixes.y])
  const weights = new Float64Array(t.length)
  for (let round = 0; round < REWEIGHTED; round++) {
    const [x, y] = fit.values as [Float64Array, Float64Array]
    for (let i = 0; i < weights.length; i++) {
      const r2 = ((fixes.x[i]! - x[i]!) ** 2 + (fixes.y[i]! - y[i]!) ** 2) / fit.noise ** 2
      weights[i] = (FREEDOM + 2) / (FREEDOM + r2)
    }
    // Weights shift the likelihood's own scale, so q and σ stay as the first fit found them.
    fit = jerkSpline(t, [fixes.x, fixes.y], weights, fit)
  }
  const fine = between(fixes, weights)
  const dense = jerkSpline(fine.t, [fine.x, fine.y], fine.weights, fit)
  const x = dense.values[0]!
  const y = dense.values[1]!
  const pace = paceOf(fixes, fine)
  straightenInPlace(x, y, fine.fixAt)
  return refineCurve({ x, y, pace, fixNodes: fine.fixAt }, fixes.x, fixes.y, {
    ...REFINED,
    noise: fit.noise,
    lambda: fit.noise ** 2 / fit.strength,
    searched: [0, 2],
  })
}

/** A curve this much longer than its chord between two fixes has swung out in time, not in place; moving it across itself could not undo a loop. */
const SWUNG = 1.25
const SWUNG_BY: Metres = 1

function straightenInPlace(x: Float64Array, y: Float64Array, fixAt: readonly number[]): void {
  for (let i = 0; i + 1 < fixAt.length; i++) {
    const from = fixAt[i]!
    const to = fixAt[i + 1]!
    let length = 0
    for (let j = from; j < to; j++) length += Math.hypot(x[j + 1]! - x[j]!, y[j + 1]! - y[j]!)
    if (length <= SWUNG * Math.hypot(x[to]! - x[from]!, y[to]! - y[from]!) + SWUNG_BY) continue
    for (let j = from + 1; j < to; j++) {
      const part = (j - from) / (to - from)
      x[j] = x[from]! + part * (x[to]! - x[from]!)
      y[j] = y[from]! + part * (y[to]! - y[from]!)
    }
  }
}

const AROUND = 0.75
/** Least pace of the chords near each node. */
function paceOf(fixes: Fixes, fine: { t: number[]; fixAt: number[] }): Float64Array {
  const t = fixes.t!
  const n = t.length
  const chord = new Float64Array(n - 1)
  for (let i = 0; i + 1 < n; i++)
    chord[i] = Math.hypot(fixes.x[i + 1]! - fixes.x[i]!, fixes.y[i + 1]! - fixes.y[i]!) / (t[i + 1]! - t[i]!)
  const pace = new Float64Array(fine.t.length)
  let cell = 0
  for (let j = 0; j < pace.length; j++) {
    while (cell < n - 2 && t[cell + 1]! <= fine.t[j]!) cell++
    let least = chord[cell]!
    for (let k = cell; k >= 0 && fine.t[j]! - t[k + 1]! < AROUND; k--) least = Math.min(least, chord[k]!)
    for (let k = cell; k < n - 1 && t[k]! - fine.t[j]! < AROUND; k++) least = Math.min(least, chord[k]!)
    pace[j] = least
  }
  return pace
}

const FINEST: Seconds = 0.34
/** Nodes without a fix between the fixes: third differences over whole seconds stand for a curve too stiff for a hairpin of six fixes. */
function between(fixes: Fixes, weights: Float64Array) {
  const out = {
    t: [] as number[],
    x: [] as number[],
    y: [] as number[],
    weights: [] as number[],
    fixAt: [] as number[],
  }
  const t = fixes.t!
  for (let i = 0; i < t.length; i++) {
    out.fixAt.push(out.t.length)
    out.t.push(t[i]!)
    out.x.push(fixes.x[i]!)
    out.y.push(fixes.y[i]!)
    out.weights.push(weights[i]!)
    if (i + 1 === t.length) break
    const parts = Math.min(4, Math.ceil((t[i + 1]! - t[i]!) / FINEST))
    for (let k = 1; k < parts; k++) {
      out.t.push(t[i]! + ((t[i + 1]! - t[i]!) * k) / parts)
      out.x.push(0)
      out.y.push(0)
      out.weights.push(0)
    }
  }
  return out
}

/** A drawn line (no times, or a clock too sparse to use): the same prior in a time made from the line's own bends. */
export function fitDrawn(fixes: Fixes): FittedLine {
  const dense = densify(fixes)
  const time = pseudoTime(dense.x, dense.y)
  const few = fixes.x.length < LEAST_POINTS
  // A dense clean line is its own best smoothing; between far points of a drawn one the chords are not the road.
  if (!few && dense.x.length / fixes.x.length < DENSE_SHARE) return asDrawn(fixes, dense, time)
  const fit = jerkSpline(time, [dense.x, dense.y])
  const noise = Math.min(MOST_DRAWN_NOISE, fit.noise)
  const bounded =
    fit.noise > MOST_DRAWN_NOISE
      ? jerkSpline(time, [dense.x, dense.y], undefined, { strength: fit.strength, noise })
      : fit
  const x = bounded.values[0]!
  const y = bounded.values[1]!
  if (few) return { x, y, fixNodes: dense.pointAt, noise: bounded.noise, strength: bounded.strength }
  const pace = new Float64Array(x.length)
  for (let i = 0; i < pace.length; i++) {
    const a = Math.max(0, i - 1)
    const b = Math.min(pace.length - 1, i + 1)
    pace[i] = Math.hypot(x[b]! - x[a]!, y[b]! - y[a]!) / (time[b]! - time[a]!)
  }
  return refineCurve({ x, y, pace, fixNodes: dense.pointAt }, fixes.x, fixes.y, {
    ...REFINED,
    noise: DRAWN_NOISE,
    lambda: DRAWN_LAMBDA,
    searched: isPolygon(fixes) ? [] : [0, 1, 2],
    most: DRAWN_LAMBDA,
  })
}

/** Strengths from the points alone; what was put between them on the chords lies inside every bend, and is only read there. */
function asDrawn(
  fixes: Fixes,
  dense: { readonly x: number[]; readonly y: number[]; readonly pointAt: number[] },
  time: Float64Array,
): FittedLine {
  const own = jerkSpline(
    dense.pointAt.map((node) => time[node]!),
    [fixes.x, fixes.y],
  )
  const noise = Math.min(MOST_DRAWN_NOISE, own.noise)
  const given = new Float64Array(dense.x.length).fill(1)
  for (let i = 0; i + 1 < dense.pointAt.length; i++) {
    const [from, to] = [dense.pointAt[i]!, dense.pointAt[i + 1]!]
    // Across a long gap the chord is all there is.
    if (to - from <= GAP_PARTS) given.fill(0, from + 1, to)
  }
  const fit = jerkSpline(time, [dense.x, dense.y], given, { strength: own.strength, noise })
  return { x: fit.values[0]!, y: fit.values[1]!, fixNodes: dense.pointAt, noise, strength: own.strength }
}

const GAP_PARTS = 4
const DENSE_SHARE = 1.5
const LEAST_POINTS = 12
/** A hand on a map, and the lateral jerk of recce driving (measured on made roads: 1.6–1.9 over all noises). */
const DRAWN_NOISE: Metres = 0.4
const DRAWN_LAMBDA = DRAWN_NOISE ** 2 / 1.65

/** A point that turns while one beside it turns less than this share is a vertex of a polygon, not of a bend; with so much of all turning there the line is one. */
const STRAIGHT_BESIDE = 0.05
const KINKED = 0.3

/** Whether points stand along the sides of a polygon: exact as they are, they say nothing of the bends between. */
function isPolygon(fixes: Fixes): boolean {
  const { x, y } = fixes
  const turn = x.map((_, i) => (i > 0 && i + 1 < x.length ? Math.abs(turning(x, y, i - 1, i, i + 1)) : 0))
  let kinks = 0
  let all = 0
  for (let i = 1; i + 1 < turn.length; i++) {
    all += turn[i]!
    if (Math.min(turn[i - 1]!, turn[i + 1]!) < STRAIGHT_BESIDE * turn[i]!) kinks += turn[i]!
  }
  return kinks > KINKED * all
}

/** Points along the chords, near the half of the median spacing apart: a spline through uneven fixes would loop. */
function densify(fixes: Fixes): { x: number[]; y: number[]; pointAt: number[] } {
  const n = fixes.x.length
  const steps = fixes.x.slice(1).map((x, i) => Math.hypot(x - fixes.x[i]!, fixes.y[i + 1]! - fixes.y[i]!))
  const median = [...steps].sort((a, b) => a - b)[steps.length >> 1] ?? DENSEST
  const h = Math.min(WIDEST, Math.max(DENSEST, median / 2))
  const x: number[] = []
  const y: number[] = []
  const pointAt: number[] = []
  for (let i = 0; i + 1 < n; i++) {
    pointAt.push(x.length)
    const parts = Math.max(1, Math.round(steps[i]! / h))
    for (let k = 0; k < parts; k++) {
      x.push(fixes.x[i]! + ((fixes.x[i + 1]! - fixes.x[i]!) * k) / parts)
      y.push(fixes.y[i]! + ((fixes.y[i + 1]! - fixes.y[i]!) * k) / parts)
    }
  }
  pointAt.push(x.length)
  x.push(fixes.x[n - 1]!)
  y.push(fixes.y[n - 1]!)
  return { x, y, pointAt }
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
