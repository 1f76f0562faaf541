import { backwardInPlace, factorInPlace, forwardInPlace, logDeterminant } from '../numeric/denseCholesky.ts'
import type { Metres } from '../units.ts'
import { addPriorInPlace } from './cornerPrior.ts'
import { addCurvatureInPlace, type CornerShape, moved, parameterCount } from './cornerShape.ts'
import type { DrivenPace } from './drivenPace.ts'
import {
  type BesideCurve,
  type LogNoise,
  type WanderWhitening,
  wanderWhitening,
  whitenInPlace,
} from './wanderWhitening.ts'

export interface WindowFit {
  readonly shapes: readonly CornerShape[]
  /** −2 ln of the marginal likelihood by Laplace, but for a constant of the window. */
  readonly cost: number
  /** Σ e² of the whitened data left over, and how many data. */
  readonly misfit: number
  readonly data: number
}

const NODE: Metres = 2
const ROUNDS = 6
const SETTLED = 0.03
/** Most one round moves a start (m), a length and a level (ln). */
const MOST = { from: 8, length: 0.7, level: 0.4 }
const NUDGE = { from: 0.5, other: 0.05 }
const RIDGE = 1e-6

/**
 * A stretch of a curve in which shapes of corners are fitted to the fixes beside it. Across the curve the road lies at u with u″ + κ²u = Σ shapes − κ (κ of the curve;
 * the two solutions of the equation without a right side are free), so u follows by marching. The fixes' noise is white plus a random walk in the plane seen across
 * the road, from the middle of the window out.
 */
export class CornerWindow {
  private readonly nodes: number
  private readonly data: number
  private readonly whitening: WanderWhitening
  private readonly half: Float64Array
  private readonly free: readonly Float64Array[]
  private readonly march: Float64Array
  private readonly beside: BesideCurve
  private readonly first: number
  private readonly pace: DrivenPace | null
  private readonly start: Metres
  private readonly square: Float64Array
  private readonly curvature: Float64Array

  constructor(
    curvature: Float64Array,
    beside: BesideCurve,
    first: number,
    last: number,
    noise: LogNoise,
    pace: DrivenPace | null,
  ) {
    this.pace = pace
    const n = last - first
    this.beside = beside
    this.first = first
    this.data = n
    this.start = Math.max(0, Math.floor(beside.station[first]!) - NODE)
    const end = Math.min(curvature.length - 1, Math.ceil(beside.station[last - 1]!) + NODE)
    this.nodes = Math.max(3, Math.ceil((end - this.start) / NODE) + 1)
    this.curvature = new Float64Array(this.nodes)
    this.square = new Float64Array(this.nodes)
    for (let j = 0; j < this.nodes; j++) {
      const k = curvature[Math.min(curvature.length - 1, this.start + NODE * j)]!
      this.curvature[j] = k
      this.square[j] = k * k * NODE * NODE
    }
    this.half = new Float64Array(this.nodes)
    this.march = new Float64Array(this.nodes)
    this.whitening = wanderWhitening(beside, first, n, noise)
    this.free = [this.solved(1, 0), this.solved(1, 1)]
  }

  /**
   * Best shapes about those guessed (addPriorInPlace), looked for from `start` on. With `rounds` 0 the cost is that one step would reach. Throws RangeError where
   * they run off.
   */
  fit(begun: readonly CornerShape[], start: readonly CornerShape[] = begun, rounds = ROUNDS): WindowFit {
    const { data: n } = this
    const columns = 2 + begun.reduce((sum, one) => sum + parameterCount(one), 0)
    let shapes = start
    for (let round = 0; ; round++) {
      const left = this.residual(shapes)
      const jacobian = [...this.free]
      for (const shape of shapes) this.pushDerivatives(shape, jacobian)
      const normal = new Float64Array(columns * columns)
      const right = new Float64Array(columns)
      let cost = this.whitening.logDeterminant
      for (let i = 0; i < n; i++) cost += left[i]! * left[i]!
      for (let p = 0; p < columns; p++) {
        const a = jacobian[p]!
        for (let q = 0; q <= p; q++) {
          const b = jacobian[q]!
          let sum = 0
          for (let i = 0; i < n; i++) sum += a[i]! * b[i]!
          normal[p * columns + q] = sum
        }
        let sum = 0
        for (let i = 0; i < n; i++) sum += a[i]! * left[i]!
        right[p] = sum
      }
      let at = 2
      for (let k = 0; k < shapes.length; k++) {
        cost += addPriorInPlace(shapes[k]!, begun[k]!, at, columns, normal, right, this.pace)
        at += parameterCount(shapes[k]!)
      }
      for (let p = 0; p < 2; p++) normal[p * columns + p] = normal[p * columns + p]! + RIDGE
      factorInPlace(normal, columns)
      forwardInPlace(normal, columns, right)
      let gained = 0
      for (let p = 0; p < columns; p++) gained += right[p]! * right[p]!
      cost += logDeterminant(normal, columns) - gained
      backwardInPlace(normal, columns, right)
      const largest = limitInPlace(shapes, right)
      if (round >= rounds || largest < SETTLED) {
        if (!Number.isFinite(cost)) throw new RangeError('CornerWindow.fit: no finite cost')
        return { shapes, cost, misfit: this.misfit(left, jacobian, right), data: n }
      }
      at = 2
      shapes = shapes.map((shape) => {
        const next = moved(shape, right, at)
        at += parameterCount(shape)
        return next
      })
    }
  }

  /** Whitened Σ (e − J δ)² with the last step taken. */
  private misfit(left: Float64Array, jacobian: readonly Float64Array[], step: Float64Array): number {
    let sum = 0
    for (let i = 0; i < this.data; i++) {
      let e = left[i]!
      for (let p = 0; p < jacobian.length; p++) e -= jacobian[p]![i]! * step[p]!
      sum += e * e
    }
    return sum
  }

  private residual(shapes: readonly CornerShape[]): Float64Array {
    for (let j = 0; j < this.nodes; j++) this.half[j] = -this.curvature[j]!
    for (const shape of shapes) addCurvatureInPlace(shape, this.start, NODE, this.half, 1)
    const u = this.solved(0, 0)
    const raw = new Float64Array(this.data)
    for (let i = 0; i < this.data; i++) raw[i] = this.beside.across[this.first + i]!
    whitenInPlace(this.whitening, raw)
    for (let i = 0; i < this.data; i++) raw[i] = raw[i]! - u[i]!
    return raw
  }

  private pushDerivatives(shape: CornerShape, out: Float64Array[]): void {
    const n = parameterCount(shape)
    const by = new Float64Array(n)
    for (let p = 0; p < n; p++) {
      const nudge = p === 0 ? NUDGE.from : NUDGE.other
      this.half.fill(0)
      by[p] = nudge
      addCurvatureInPlace(moved(shape, by), this.start, NODE, this.half, 0.5 / nudge)
      by[p] = -nudge
      addCurvatureInPlace(moved(shape, by), this.start, NODE, this.half, -0.5 / nudge)
      by[p] = 0
      out.push(this.solved(0, 0))
    }
  }

  /** u at the data, whitened, for the right side in `half`; or, begun at `u0` and `u1` of the first two nodes, without one. */
  private solved(u0: number, u1: number): Float64Array {
    const { march, half, square, nodes } = this
    const own = u0 === 0 && u1 === 0
    march[0] = u0
    march[1] = u1
    for (let j = 1; j + 1 < nodes; j++)
      march[j + 1] = 2 * march[j]! - march[j - 1]! - square[j]! * march[j]! + (own ? NODE * NODE * half[j]! : 0)
    const out = new Float64Array(this.data)
    const scale = own ? 1 : 1 / Math.max(1, Math.abs(march[nodes - 1]!))
    for (let i = 0; i < this.data; i++) {
      const at = (this.beside.station[this.first + i]! - this.start) / NODE
      const j = Math.max(0, Math.min(nodes - 2, Math.floor(at)))
      out[i] = scale * (march[j]! + (at - j) * (march[j + 1]! - march[j]!))
    }
    whitenInPlace(this.whitening, out)
    return out
  }
}

/** Holds a round's step within MOST; the largest of it, in settled units. */
function limitInPlace(shapes: readonly CornerShape[], step: Float64Array): number {
  let at = 2
  let largest = 0
  const limit = (most: number, unit: number) => {
    step[at] = Math.max(-most, Math.min(most, step[at]!))
    largest = Math.max(largest, Math.abs(step[at]!) / unit)
    at++
  }
  for (const shape of shapes) {
    limit(MOST.from, 10)
    for (let i = 0; i < shape.lengths.length; i++) limit(MOST.length, 3)
    for (let i = 0; i < shape.levels.length; i++) limit(MOST.level, 1)
  }
  return largest
}
