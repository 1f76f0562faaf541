import { addOuterInPlace, factorInPlace, logDeterminant, newBanded, solveFactored } from './bandedCholesky.ts'

export interface JerkFit {
  /** Smoothed coordinates, one array each of those given. */
  readonly values: readonly Float64Array[]
  /** Prior density of jerk, (unit/s³)²·s, and noise of one fix, in the coordinates' unit. */
  readonly strength: number
  readonly noise: number
}

const LEAST_NOISE = 0.002
/** Where the search begins: near constant over noise on recce logs (road.md, q 0.5–0.75, σ as logged). */
const START = { strength: 1.65, noise: 0.5 }
const LEAST_STEP = 0.06
const EVALUATIONS = 120

/**
 * Smoothing spline of coordinates over uneven times with the third derivative penalised (road.md):
 *   minimise Σ w_i (f_i − u_i)²/σ² + Σ τ_i D_i(u)²/q,  D_i the third divided difference × 6,  τ_i = (t_{i+3} − t_i)/3
 * q and σ, shared by all coordinates, maximise the marginal likelihood (REML): Σ [χ² + penalty + log det A + m·log q + 2n·log σ] least.
 * `time` strictly ascending, n ≥ 5; `weights` (default 1) may lower the say of doubtful fixes. O(n) an evaluation, 50–100 of them.
 */
export function jerkSpline(
  time: ArrayLike<number>,
  coordinates: readonly ArrayLike<number>[],
  weights?: ArrayLike<number>,
  fixed?: { strength: number; noise: number },
): JerkFit {
  const n = time.length
  if (n < 5) throw new RangeError(`jerkSpline: needs 5 fixes, got ${n}`)
  const rows = thirdDifferences(time)
  let best = fixed ?? START
  if (!fixed) {
    const score = (q: { strength: number; noise: number }) => evaluate(rows, coordinates, weights, q, false).score
    let least = score(best)
    let used = 0
    for (let step = 1; step > LEAST_STEP && used < EVALUATIONS; ) {
      let moved = false
      for (const [a, b] of [
        [step, 0],
        [-step, 0],
        [0, step],
        [0, -step],
      ] as const) {
        const next = { strength: best.strength * Math.exp(a), noise: Math.max(LEAST_NOISE, best.noise * Math.exp(b)) }
        const value = score(next)
        used++
        if (value < least - 1e-9) {
          least = value
          best = next
          moved = true
        }
      }
      if (!moved) step /= 2
    }
  }
  return { values: evaluate(rows, coordinates, weights, best, true).values, ...best }
}

interface DifferenceRow {
  readonly d: Float64Array
  readonly tau: number
}

function thirdDifferences(time: ArrayLike<number>): DifferenceRow[] {
  const rows: DifferenceRow[] = []
  for (let i = 0; i + 3 < time.length; i++) {
    const d = new Float64Array(4)
    for (let k = 0; k < 4; k++) {
      let product = 1
      for (let j = 0; j < 4; j++) if (j !== k) product *= time[i + k]! - time[i + j]!
      d[k] = 6 / product
    }
    if (!(time[i + 1]! > time[i]!)) throw new RangeError(`jerkSpline: times must ascend, at ${i}`)
    rows.push({ d, tau: (time[i + 3]! - time[i]!) / 3 })
  }
  return rows
}

function evaluate(
  rows: readonly DifferenceRow[],
  coordinates: readonly ArrayLike<number>[],
  weights: ArrayLike<number> | undefined,
  q: { strength: number; noise: number },
  keep: boolean,
) {
  const n = coordinates[0]!.length
  const precision = 1 / (q.noise * q.noise)
  const A = newBanded(n, 3)
  for (let i = 0; i < n; i++) A.rows[i * 4 + 3] = precision * (weights ? weights[i]! : 1)
  rows.forEach(({ d, tau }, i) => {
    addOuterInPlace(A, i, d, tau / q.strength)
  })
  factorInPlace(A)
  const common = logDeterminant(A) + rows.length * Math.log(q.strength) + 2 * n * Math.log(q.noise)
  let score = 0
  const values: Float64Array[] = []
  for (const f of coordinates) {
    const right = Float64Array.from({ length: n }, (_, i) => f[i]! * precision * (weights ? weights[i]! : 1))
    const u = solveFactored(A, right)
    let misfit = 0
    for (let i = 0; i < n; i++) misfit += (weights ? weights[i]! : 1) * (f[i]! - u[i]!) ** 2 * precision
    let penalty = 0
    rows.forEach(({ d, tau }, i) => {
      const jerk = d[0]! * u[i]! + d[1]! * u[i + 1]! + d[2]! * u[i + 2]! + d[3]! * u[i + 3]!
      penalty += (tau * jerk * jerk) / q.strength
    })
    score += misfit + penalty + common
    if (keep) values.push(u)
  }
  return { score, values }
}
