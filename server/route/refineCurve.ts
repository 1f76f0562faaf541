import { displacementFit } from '../numeric/displacementFit.ts'
import type { Metres, MetresPerSecond } from '../units.ts'
import { evenRibbon, fixStations } from './ribbon.ts'

export interface CurveToRefine {
  readonly x: Float64Array
  readonly y: Float64Array
  /** Pace at each node: the recorded one, or for a drawn line the one its bends would be driven at. */
  readonly pace: Float64Array
  /** Where each fix stands, in nodes; ascending. */
  readonly fixNodes: ArrayLike<number>
}

export interface RefinedCurve {
  readonly x: Float64Array
  readonly y: Float64Array
  /** Where each fix stands, in nodes. */
  readonly fixNodes: Float64Array
  readonly noise: Metres
  /** Lateral jerk's density, m²/s⁵. */
  readonly strength: number
}

export interface RefineSettings {
  readonly step: Metres
  readonly rounds: number
  readonly lambda: number
  /** σ of a fix, to begin with. */
  readonly noise: Metres
  /** Rounds in which λ is moved to the likelihood's best, but never above `most`. */
  readonly searched: readonly number[]
  readonly most?: number
  readonly slowest: MetresPerSecond
  readonly quickest: MetresPerSecond
}

/**
 * A ramp takes about the same share of its arc in every corner, so its change of curvature goes with κ² = (2.5/v²)² at recce pace: its price with v⁸, a little
 * less because fast ramps stop growing at 20 m. Measured on made-up roads (docs/method/route.md): 5 shrinks tight corners, 8 lets small false ones through.
 */
const STIFFNESS_POWER = 7.5
/** Where the price is that of lateral jerk itself, so that a strength found in time is a fair start. */
const USUAL_PACE: MetresPerSecond = 10
/** Student weights, ν = 4: heavy tails pull less. */
const FREEDOM = 4
/** A step across the road is held back to this, and to this share of the radius, all steps near it with it. */
const LONGEST_STEP: Metres = 3
const RADIUS_SHARE = 0.4

/**
 * Brings a curve to its fixes across the road only, the change of curvature along it penalised as lateral jerk at the pace driven: g = v⁵/h
 * (jerk = v³ dκ/ds, dt = ds/v). How hard the car braked along the road no longer bends it. Gauss–Newton, each round a banded solve, O(n).
 */
export function refineCurve(
  curve: CurveToRefine,
  fixX: ArrayLike<number>,
  fixY: ArrayLike<number>,
  settings: RefineSettings,
): RefinedCurve {
  const fixes = fixX.length
  let line = evenRibbon(curve.x, curve.y, settings.step)
  let s = fixStations(curve.fixNodes, line.nodeStations)
  let pace = resampled(line.nodeStations, curve.pace, line.x.length, line.step)
  let lambda = settings.lambda
  const weight = new Float64Array(fixes).fill(1)
  const value = new Float64Array(fixes)
  const at = new Float64Array(fixes)
  let variance = settings.noise ** 2
  let hold = new Float64Array(line.x.length)
  let dear = new Float64Array(line.x.length).fill(1)
  for (let round = 0; round < settings.rounds + SHARP_ROUNDS; round++) {
    if (round >= settings.rounds && (line.x.length > MOST_NODES || raiseInPlace(dear, line) === 0)) break
    const h = line.step
    const n = line.x.length
    if (n < 5) break
    for (let i = 0; i < fixes; i++) {
      projectInPlace(line, h, n, i, fixX[i]!, fixY[i]!, s, at, value)
      weight[i] = (FREEDOM + 2) / (FREEDOM + (value[i]! * value[i]!) / variance)
    }
    const stiffness = new Float64Array(n)
    for (let j = 0; j < n; j++) {
      const v = Math.min(settings.quickest, Math.max(settings.slowest, pace[j]!))
      stiffness[j] = (USUAL_PACE ** 5 / h) * (v / USUAL_PACE) ** STIFFNESS_POWER * dear[j]!
    }
    const fit = displacementFit(
      {
        nodes: n,
        at,
        value,
        weight,
        curvature: discrete(line.x, line.y, h),
        inverseSquare: 1 / (h * h),
        stiffness,
        hold,
      },
      lambda,
      settings.searched.includes(round),
      settings.most,
    )
    lambda = fit.lambda
    variance = round === 0 || settings.searched.includes(round) ? fit.variance : variance
    const x = new Float64Array(n)
    const y = new Float64Array(n)
    const share = bearable(fit.u, line.curvature, h)
    for (let j = 0; j < n; j++) {
      const u = fit.u[j]! * share[j]!
      x[j] = line.x[j]! - u * Math.sin(line.heading[j]!)
      y[j] = line.y[j]! + u * Math.cos(line.heading[j]!)
    }
    const next = evenRibbon(x, y, settings.step)
    hold = heldBack(fit.u, h, next.x.length, variance)
    s = fixStations(at, next.nodeStations)
    pace = resampled(next.nodeStations, pace, next.x.length, next.step)
    dear = resampled(next.nodeStations, dear, next.x.length, next.step)
    line = next
  }
  return {
    x: line.x,
    y: line.y,
    fixNodes: s.map((one) => one / line.step),
    noise: Math.sqrt(variance),
    strength: variance / lambda,
  }
}

/** One Newton step of fix i along the line, order kept; its place in nodes and how far left of the line it lies. */
function projectInPlace(
  line: { x: Float64Array; y: Float64Array; heading: Float64Array; curvature: Float64Array },
  h: Metres,
  n: number,
  i: number,
  x: Metres,
  y: Metres,
  s: Float64Array,
  at: Float64Array,
  value: Float64Array,
): void {
  for (let turn = 0; turn < 2; turn++) {
    const j = Math.min(n - 1, Math.max(0, Math.round(s[i]! / h)))
    const c = Math.cos(line.heading[j]!)
    const d = Math.sin(line.heading[j]!)
    const dx = x - line.x[j]!
    const dy = y - line.y[j]!
    const k = line.curvature[j]!
    const along = dx * c + dy * d
    const across = dy * c - dx * d
    const ahead = Math.max(-2 * h, Math.min(2 * h, along / Math.max(0.4, 1 - k * across)))
    s[i] = Math.min((n - 1) * h, Math.max(i > 0 ? s[i - 1]! : 0, j * h + ahead))
    // The node's own circle stands for the line near it.
    value[i] = across - (k * ahead * ahead) / 2
  }
  at[i] = s[i]! / h
}

/** Values at nodes read at 0, step, 2·step …, straight between nodes. */
function resampled(
  stations: Float64Array,
  values: ArrayLike<number>,
  count: number,
  step: Metres,
): Float64Array<ArrayBuffer> {
  const out = new Float64Array(count)
  let cell = 0
  for (let m = 0; m < count; m++) {
    while (cell < stations.length - 2 && stations[cell + 1]! < m * step) cell++
    const part = Math.min(1, Math.max(0, (m * step - stations[cell]!) / (stations[cell + 1]! - stations[cell]!)))
    out[m] = values[cell]! + part * (values[cell + 1]! - values[cell]!)
  }
  return out
}

/** Curvature at even nodes by second differences, as displacementFit takes it: the spline's own would answer a step of the nodes three times as strongly. */
function discrete(x: Float64Array, y: Float64Array, h: Metres): Float64Array {
  const n = x.length
  const k = new Float64Array(n)
  for (let j = 1; j + 1 < n; j++) {
    const ax = x[j]! - x[j - 1]!
    const ay = y[j]! - y[j - 1]!
    const bx = x[j + 1]! - x[j]!
    const by = y[j + 1]! - y[j]!
    k[j] = (ax * by - ay * bx) / (h * h * h)
  }
  k[0] = k[1]!
  k[n - 1] = k[n - 2]!
  return k
}

/** No road car turns in less (common practice; kerb to kerb most need 5 m); where a curve asks for it, the price of its bends rises until it does not. */
const LEAST_RADIUS: Metres = 4.5
const SHARP_ROUNDS = 8
/** Longer lines (300 km) are not worth the wait. */
const MOST_NODES = 150_000
const DEARER = 6
const AROUND: Metres = 12

function raiseInPlace(dear: Float64Array, line: { curvature: Float64Array; step: Metres }): number {
  const reach = Math.round(AROUND / line.step)
  let count = 0
  let raised = -1
  for (let j = 0; j < dear.length; j++) {
    if (Math.abs(line.curvature[j]!) < 1 / LEAST_RADIUS) continue
    count++
    for (let i = Math.max(raised + 1, j - reach); i <= Math.min(dear.length - 1, j + reach); i++) {
      dear[i] = dear[i]! * DEARER
      raised = i
    }
  }
  return count
}

/** Where the last step was longer than this, the next is held back the harder the longer it was, over this far either side: 20 σ² (|u| − 1)². */
const SETTLED: Metres = 1
const HELD: Metres = 20
const HOLD = 20

function heldBack(u: Float64Array, h: Metres, count: number, variance: number): Float64Array<ArrayBuffer> {
  const out = new Float64Array(count)
  const reach = Math.round(HELD / h)
  for (let j = 0; j < u.length; j++) {
    const over = Math.abs(u[j]!) - SETTLED
    if (!(over > 0)) continue
    const held = HOLD * variance * over * over
    for (let i = Math.max(0, j - reach); i <= Math.min(count - 1, j + reach); i++) out[i] = Math.max(out[i]!, held)
  }
  return out
}

/** Over this far either side of too long a step all steps are shortened alike: cut node by node they would kink the curve. */
const EASED: Metres = 15

/** Share of each displacement taken, so that none is longer than LONGEST_STEP or RADIUS_SHARE of the radius; changing smoothly. */
function bearable(u: Float64Array, curvature: Float64Array, h: Metres): Float64Array {
  const n = u.length
  const most = new Float64Array(n).fill(1)
  const reach = Math.round(EASED / h)
  let any = false
  for (let j = 0; j < n; j++) {
    const limit = Math.min(LONGEST_STEP, RADIUS_SHARE / Math.max(1e-6, Math.abs(curvature[j]!)))
    const ratio = limit / Math.abs(u[j]!)
    if (ratio >= 1) continue
    any = true
    for (let i = Math.max(0, j - 2 * reach); i <= Math.min(n - 1, j + 2 * reach); i++)
      most[i] = Math.min(most[i]!, ratio)
  }
  if (!any) return most
  // A running mean no longer than the stretch lowered stays within every limit.
  const sum = new Float64Array(n + 1)
  for (let j = 0; j < n; j++) sum[j + 1] = sum[j]! + most[j]!
  const out = new Float64Array(n)
  for (let j = 0; j < n; j++) {
    const from = Math.max(0, j - reach)
    const to = Math.min(n, j + reach + 1)
    out[j] = (sum[to]! - sum[from]!) / (to - from)
  }
  return out
}
