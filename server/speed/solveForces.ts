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
 */
export function solveForces(
  cells: RoadCells,
  forces: TyreForces,
  q: { entry: MetresPerSecond; line: number },
): SolvedSpeeds {
  const n = cells.curvature.length
  if (!(cells.step > 0)) throw new RangeError(`solveForces: step must be > 0, got ${cells.step}`)
  if (!(q.entry >= 0)) throw new RangeError(`solveForces: entry must be >= 0, got ${q.entry}`)
  if (!(q.line >= 1)) throw new RangeError(`solveForces: line must be >= 1, got ${q.line}`)
  if (n < 1 || cells.slope.length !== n || cells.vertical.length !== n) {
    throw new RangeError(
      `solveForces: cell arrays must have one length >= 1, got ${n}, ${cells.slope.length}, ${cells.vertical.length}`,
    )
  }
  const limitSquared = limits(cells, forces, q.line)
  const brakingSquared = backward(cells, forces, q.line, limitSquared)
  const squared = forward(cells, forces, q.line, brakingSquared, q.entry)
  const speed = new Float64Array(n + 1)
  const time = new Float64Array(n + 1)
  for (let i = 0; i <= n; i++) speed[i] = Math.sqrt(squared[i]!)
  // Two nodes at rest would take for ever: 1 mm/s is below anything a car or a clock can show.
  for (let i = 0; i < n; i++) time[i + 1] = time[i]! + (2 * cells.step) / Math.max(1e-3, speed[i]! + speed[i + 1]!)
  return { speed, time, limitSquared, brakingSquared }
}

function limits(cells: RoadCells, f: TyreForces, line: number): Float64Array {
  const n = cells.curvature.length
  const top = f.topSpeed ** 2
  const ofCell = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    const bend = Math.abs(cells.curvature[i]!) / line
    const k = cells.vertical[i]!
    const room = bend - f.usedGrip * k
    let limit = top
    if (room > 0) limit = Math.min(limit, (f.usedGrip * GRAVITY) / room)
    if (k < 0) limit = Math.min(limit, (f.commitment * GRAVITY) / -k)
    ofCell[i] = limit
  }
  const atNode = new Float64Array(n + 1)
  atNode[0] = ofCell[0]!
  for (let i = 1; i < n; i++) atNode[i] = Math.min(ofCell[i - 1]!, ofCell[i]!)
  atNode[n] = ofCell[n - 1]!
  return atNode
}

// The two passes are most of the cost of a new target: what does not change from cell to cell is taken out of them.
function backward(cells: RoadCells, f: TyreForces, line: number, limit: Float64Array): Float64Array {
  const { curvature, slope, vertical } = cells
  const { grip, usedGrip, drag, rolling } = f
  const n = curvature.length
  const H = 2 * cells.step
  const bending = H / line
  const B = new Float64Array(n + 1)
  let w1 = limit[n]!
  B[n] = w1
  for (let i = n - 1; i >= 0; i--) {
    const pull = GRAVITY * slope[i]!
    const load = Math.max(0, GRAVITY + vertical[i]! * w1)
    const whole = grip * load
    const r = drag * w1 + rolling + pull
    const b = w1 + H * r
    const bend = bending * curvature[i]!
    const q = bend * bend
    // Gravity down the road is held beyond the share in use, up to full grip: else a slow target leaves no braking on a descent.
    const A = H * Math.max(Math.min(whole, usedGrip * load + Math.max(0, -pull)), Math.min(whole, LEAST_NET - r))
    const D = A * A * (1 + q) - q * b * b
    const w0 = D < 0 ? Math.max(w1, b / (1 + q)) : (b + Math.sqrt(D)) / (1 + q)
    w1 = Math.min(w0, limit[i]!)
    B[i] = w1
  }
  return B
}

function forward(cells: RoadCells, f: TyreForces, line: number, B: Float64Array, entry: MetresPerSecond): Float64Array {
  const { curvature, slope, vertical } = cells
  const { grip, usedGrip, drag, rolling, share } = f
  // One constant acceleration is an engine of boundless power with a ceiling.
  const constant = 'constant' in f.engine ? f.engine.constant : Number.POSITIVE_INFINITY
  const full = 'constant' in f.engine ? Number.POSITIVE_INFINITY : f.engine.full
  const used = 'constant' in f.engine ? Number.POSITIVE_INFINITY : f.engine.used
  const n = curvature.length
  const H = 2 * cells.step
  const bending = (H * share) / line
  const W = new Float64Array(n + 1)
  let w0 = Math.min(entry * entry, B[0]!)
  W[0] = w0
  for (let i = 0; i < n; i++) {
    const pull = GRAVITY * slope[i]!
    const load = Math.max(0, GRAVITY + vertical[i]! * w0)
    const r = drag * w0 + rolling + pull
    const b = w0 - H * r
    const hold = rolling + Math.max(0, pull)
    const bend = bending * curvature[i]!
    const q = bend * bend
    const whole = share * grip * load
    const A = H * Math.max(Math.min(whole, share * usedGrip * load + hold), Math.min(whole, r + LEAST_NET))
    const D = A * A * (1 + q) - q * b * b
    const tyre = D < 0 ? b : (b + Math.sqrt(D)) / (1 + q)
    const slowness = 1 / Math.sqrt(Math.max(w0, 1e-6))
    const push = Math.min(constant, full * slowness, used * slowness + hold)
    const engine = w0 + H * (Math.max(push, r + LEAST_NET) - r)
    w0 = Math.max(0, Math.min(tyre, engine, B[i + 1]!))
    W[i + 1] = w0
  }
  return W
}
