import { GRAVITY, type MetresPerSecond } from '../units.ts'
import type { RoadCells } from './speed.ts'
import type { TyreForces } from './tyreForces.ts'

/** Least net drive, and least net braking, m/s²: what keeps a car moving where the model leaves it nothing. From memory. */
const LEAST_NET = 0.3

export interface SolvedSpeeds {
  readonly speed: Float64Array
  readonly time: Float64Array
  readonly limitSquared: Float64Array
  readonly brakingSquared: Float64Array
}

/**
 * Quasi-steady-state forward–backward pass on cells (windows.md §1), the ellipse of grip taken at each cell's far end, which is
 * a quadratic, so that the map is monotone in w = v² and in commitment.
 *   limit of a cell: w ≤ cμG/(|κ| − cμk) over crests k < 0 and on the flat; w ≤ cG/(−k); w ≤ vmax²
 *   backward: (w0 − b)² + (Hκw0)² = (HA)²,  b = w1 + H·r,  H = 2h,  r = kd·w1 + r0 + G·g
 *   forward:  the same with the driven share, and the engine
 *   time: t += 2h/(v_i + v_{i+1}), exact for constant acceleration
 * `cells` arrays have n values; results n+1. `line` ≥ 1 divides κ for cornering: cars use the width of the road. `entry` ≥ 0.
 * `into` takes the result in place of new arrays, and is returned: a search for a target asks many times and keeps one answer.
 * Throws RangeError for a step that is not > 0, an entry < 0, a line < 1 or arrays of other lengths.
 */
export function solveForces(
  cells: RoadCells,
  forces: TyreForces,
  q: { entry: MetresPerSecond; line: number },
  into: SolvedSpeeds = roomFor(cells),
): SolvedSpeeds {
  const n = cells.curvature.length
  if (!(cells.step > 0)) throw new RangeError(`solveForces: step must be > 0, got ${cells.step}`)
  if (!(q.entry >= 0)) throw new RangeError(`solveForces: entry must be >= 0, got ${q.entry}`)
  if (!(q.line >= 1)) throw new RangeError(`solveForces: line must be >= 1, got ${q.line}`)
  if (n < 1 || cells.slope.length !== n || cells.vertical.length !== n || (cells.cap?.length ?? n) !== n) {
    throw new RangeError(
      `solveForces: cell arrays must have one length >= 1, got ${n}, ${cells.slope.length}, ${cells.vertical.length}`,
    )
  }
  if (into.speed.length !== n + 1)
    throw new RangeError(`solveForces: into must hold ${n + 1} nodes, got ${into.speed.length}`)
  backward(cells, forces, q.line, into)
  forward(cells, forces, q.line, q.entry, into)
  return into
}

/** Arrays for one solution on a road. */
export function roomFor(cells: RoadCells): SolvedSpeeds {
  const nodes = cells.curvature.length + 1
  return {
    speed: new Float64Array(nodes),
    time: new Float64Array(nodes),
    limitSquared: new Float64Array(nodes),
    brakingSquared: new Float64Array(nodes),
  }
}

// The two passes are most of the cost of a new target: what does not change from cell to cell is taken out of them, and each
// array is walked once.
function backward(cells: RoadCells, f: TyreForces, line: number, into: SolvedSpeeds): void {
  const { curvature, slope, vertical, cap } = cells
  const { grip, usedGrip, drag, rolling } = f
  const { limitSquared, brakingSquared } = into
  const n = curvature.length
  const top = f.topSpeed * f.topSpeed
  const crestHold = f.commitment * GRAVITY
  const gripHold = usedGrip * GRAVITY
  const perLine = 1 / line
  const H = 2 * cells.step
  const bending = H / line
  // The limit of the cell before the road's end holds at the end too.
  let ahead = Number.POSITIVE_INFINITY
  let w1 = Number.POSITIVE_INFINITY
  for (let i = n - 1; i >= 0; i--) {
    const k = vertical[i]!
    const kappa = curvature[i]!
    const room = Math.abs(kappa) * perLine - usedGrip * k
    let limit = top
    if (room > 0) limit = Math.min(limit, gripHold / room)
    if (k < 0) limit = Math.min(limit, crestHold / -k)
    if (cap !== undefined) limit = Math.min(limit, cap[i]!)
    const atNode = Math.min(limit, ahead)
    limitSquared[i + 1] = atNode
    w1 = Math.min(w1, atNode)
    brakingSquared[i + 1] = w1

    const pull = GRAVITY * slope[i]!
    const load = Math.max(0, GRAVITY + k * w1)
    const whole = grip * load
    const r = drag * w1 + rolling + pull
    const b = w1 + H * r
    const bend = bending * kappa
    const q = bend * bend
    // Gravity down the road is held beyond the share in use, up to full grip: else a slow target leaves no braking on a descent.
    const A = H * Math.max(Math.min(whole, usedGrip * load + Math.max(0, -pull)), Math.min(whole, LEAST_NET - r))
    const D = A * A * (1 + q) - q * b * b
    w1 = D < 0 ? Math.max(w1, b / (1 + q)) : (b + Math.sqrt(D)) / (1 + q)
    ahead = limit
  }
  limitSquared[0] = ahead
  brakingSquared[0] = Math.min(w1, ahead)
}

function forward(cells: RoadCells, f: TyreForces, line: number, entry: MetresPerSecond, into: SolvedSpeeds): void {
  const { curvature, slope, vertical } = cells
  const { grip, usedGrip, drag, rolling, share } = f
  const { speed, time, brakingSquared } = into
  // One constant acceleration is an engine of boundless power with a ceiling.
  const constant = 'constant' in f.engine ? f.engine.constant : Number.POSITIVE_INFINITY
  const full = 'constant' in f.engine ? Number.POSITIVE_INFINITY : f.engine.full
  const used = 'constant' in f.engine ? Number.POSITIVE_INFINITY : f.engine.used
  const n = curvature.length
  const H = 2 * cells.step
  const bending = (H * share) / line
  const wholeShare = share * grip
  const usedShare = share * usedGrip
  let w0 = Math.min(entry * entry, brakingSquared[0]!)
  let v0 = Math.sqrt(w0)
  let t = 0
  speed[0] = v0
  time[0] = 0
  for (let i = 0; i < n; i++) {
    const pull = GRAVITY * slope[i]!
    const load = Math.max(0, GRAVITY + vertical[i]! * w0)
    const r = drag * w0 + rolling + pull
    const b = w0 - H * r
    const hold = rolling + Math.max(0, pull)
    const bend = bending * curvature[i]!
    const q = bend * bend
    const whole = wholeShare * load
    const A = H * Math.max(Math.min(whole, usedShare * load + hold), Math.min(whole, r + LEAST_NET))
    const D = A * A * (1 + q) - q * b * b
    const tyre = D < 0 ? b : (b + Math.sqrt(D)) / (1 + q)
    const slowness = 1 / Math.max(v0, 1e-3)
    const push = Math.min(constant, full * slowness, used * slowness + hold)
    const engine = w0 + H * (Math.max(push, r + LEAST_NET) - r)
    w0 = Math.max(0, Math.min(tyre, engine, brakingSquared[i + 1]!))
    const v1 = Math.sqrt(w0)
    // Two nodes at rest would take for ever: 1 mm/s is below anything a car or a clock can show.
    t += H / Math.max(1e-3, v0 + v1)
    speed[i + 1] = v1
    time[i + 1] = t
    v0 = v1
  }
}
