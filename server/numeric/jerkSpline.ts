import { goldenSection } from './goldenSection.ts'
export interface JerkFit {
  /** Smoothed coordinates, one array each of those given. */
  readonly values: readonly Float64Array[]
  /** Prior density of jerk, (unit/s³)²·s, and noise of one fix, in the coordinates' unit. */
  readonly strength: number
  readonly noise: number
}

const LEAST_NOISE = 0.002
/** ln λ, λ = σ²/q: between a curve through every fix and one parabola. Recce logs lie near ln(0.5²/0.6). */
const LOW = -22
const HIGH = 16
const USUAL = -0.9
const CLOSE = 0.02

/**
 * Smoothing spline of coordinates over uneven times with the third derivative penalised (docs/method/route.md):
 *   minimise Σ w_i (f_i − u_i)²/σ² + Σ τ_i D_i(u)²/q,  D_i the third divided difference × 6,  τ_i = (t_{i+3} − t_i)/3
 * q and σ, shared by all coordinates, maximise the marginal likelihood (REML). With λ = σ²/q and B = W + λ·Σ τ D Dᵀ it is, but for a constant,
 *   −2 ln L = Σ_c [S_c/σ² + ln det B − m ln λ + 2m ln σ],  S_c = Σ w f (f − u), m = n − 3,
 * so that σ² = Σ S_c/(m·c) in closed form and one number, ln λ, is left to look for.
 * `time` strictly ascending, n ≥ 5; `weights` (default 1) may lower the say of doubtful fixes, 0 for a node without a fix. O(n) an evaluation, about 20.
 */
export function jerkSpline(
  time: ArrayLike<number>,
  coordinates: readonly ArrayLike<number>[],
  weights?: ArrayLike<number>,
  fixed?: { strength: number; noise: number },
): JerkFit {
  const n = time.length
  if (n < 5) throw new RangeError(`jerkSpline: needs 5 fixes, got ${n}`)
  const system = penaltySystem(time)
  const work = workspace(n, coordinates.length)
  if (fixed) {
    solveInPlace(work, system, coordinates, weights, fixed.noise ** 2 / fixed.strength)
    return { values: work.values, strength: fixed.strength, noise: fixed.noise }
  }
  const lambda = Math.exp(leastInWindow(work, system, coordinates, weights))
  const noise = Math.max(LEAST_NOISE, Math.sqrt(solveInPlace(work, system, coordinates, weights, lambda).variance))
  return { values: work.values, strength: noise ** 2 / lambda, noise }
}

/** Σ τ D Dᵀ by diagonals: `bands[4i + k]` is its entry (i, i − k). */
function penaltySystem(time: ArrayLike<number>): Float64Array {
  const n = time.length
  const bands = new Float64Array(4 * n)
  for (let i = 0; i + 1 < n; i++)
    if (!(time[i + 1]! > time[i]!)) throw new RangeError(`jerkSpline: times must ascend, at ${i}`)
  const d = new Float64Array(4)
  for (let i = 0; i + 3 < n; i++) {
    for (let k = 0; k < 4; k++) {
      let product = 1
      for (let j = 0; j < 4; j++) if (j !== k) product *= time[i + k]! - time[i + j]!
      d[k] = 6 / product
    }
    const tau = (time[i + 3]! - time[i]!) / 3
    for (let a = 0; a < 4; a++)
      for (let b = 0; b <= a; b++) {
        const at = 4 * (i + a) + a - b
        bands[at] = bands[at]! + tau * d[a]! * d[b]!
      }
  }
  return bands
}

interface Workspace {
  readonly n: number
  readonly factor: Float64Array
  readonly values: Float64Array[]
}

function workspace(n: number, coordinates: number): Workspace {
  return {
    n,
    factor: new Float64Array(4 * n),
    values: Array.from({ length: coordinates }, () => new Float64Array(n)),
  }
}

/** Factors B = LDLᵀ and solves for every coordinate; returns −2 ln L and the σ² that goes with λ. */
function solveInPlace(
  work: Workspace,
  bands: Float64Array,
  coordinates: readonly ArrayLike<number>[],
  weights: ArrayLike<number> | undefined,
  lambda: number,
): { score: number; variance: number } {
  const { n, factor } = work
  let logDeterminant = 0
  let product = 1
  for (let i = 0; i < n; i++) {
    const r = 4 * i
    // Rows of L left of the diagonal, from the farthest in; an entry left of column 0 is 0.
    const a3 = i > 2 ? lambda * bands[r + 3]! : 0
    const d3 = i > 2 ? factor[r - 12]! : 1
    const a2 = i > 1 ? lambda * bands[r + 2]! - (i > 2 ? a3 * factor[r - 8 + 1]! : 0) : 0
    const d2 = i > 1 ? factor[r - 8]! : 1
    const a1 =
      i > 0 ? lambda * bands[r + 1]! - (i > 1 ? a2 * factor[r - 4 + 1]! : 0) - (i > 2 ? a3 * factor[r - 4 + 2]! : 0) : 0
    const d1 = i > 0 ? factor[r - 4]! : 1
    const l3 = a3 / d3
    const l2 = a2 / d2
    const l1 = a1 / d1
    const pivot = lambda * bands[r]! + (weights ? weights[i]! : 1) - l1 * a1 - l2 * a2 - l3 * a3
    if (!(pivot > 0)) throw new RangeError(`jerkSpline: not positive definite at row ${i}`)
    factor[r] = pivot
    factor[r + 1] = l1
    factor[r + 2] = l2
    factor[r + 3] = l3
    product *= pivot
    if (product > 1e200 || product < 1e-200) {
      logDeterminant += Math.log(product)
      product = 1
    }
  }
  logDeterminant += Math.log(product)
  let residual = 0
  for (let c = 0; c < coordinates.length; c++) residual += solveOneInPlace(work, coordinates[c]!, weights, c)
  const m = n - 3
  const variance = Math.max(LEAST_NOISE ** 2 * 1e-6, residual / (m * coordinates.length))
  // Below the least noise σ no longer follows the residual: the two parts of the score stand apart.
  const used = Math.max(LEAST_NOISE ** 2, variance)
  const score = residual / used + coordinates.length * (logDeterminant - m * Math.log(lambda) + m * Math.log(used))
  return { score, variance }
}

/** u of one coordinate, and Σ w f (f − u). */
function solveOneInPlace(
  work: Workspace,
  f: ArrayLike<number>,
  weights: ArrayLike<number> | undefined,
  c: number,
): number {
  const { n, factor } = work
  const u = work.values[c]!
  for (let i = 0; i < n; i++) {
    let sum = (weights ? weights[i]! : 1) * f[i]!
    if (i > 0) sum -= factor[4 * i + 1]! * u[i - 1]!
    if (i > 1) sum -= factor[4 * i + 2]! * u[i - 2]!
    if (i > 2) sum -= factor[4 * i + 3]! * u[i - 3]!
    u[i] = sum
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = u[i]! / factor[4 * i]!
    if (i + 1 < n) sum -= factor[4 * (i + 1) + 1]! * u[i + 1]!
    if (i + 2 < n) sum -= factor[4 * (i + 2) + 2]! * u[i + 2]!
    if (i + 3 < n) sum -= factor[4 * (i + 3) + 3]! * u[i + 3]!
    u[i] = sum
  }
  let residual = 0
  for (let i = 0; i < n; i++) residual += (weights ? weights[i]! : 1) * f[i]! * (f[i]! - u[i]!)
  return residual
}

/** ln λ of least score: bracketed from the usual value outward, then by the golden section. */
function leastInWindow(
  work: Workspace,
  bands: Float64Array,
  coordinates: readonly ArrayLike<number>[],
  weights: ArrayLike<number> | undefined,
): number {
  const score = (x: number) => solveInPlace(work, bands, coordinates, weights, Math.exp(x)).score
  let step = 1.5
  let middle = USUAL
  let low = middle - step
  let high = middle + step
  let atMiddle = score(middle)
  let atLow = score(low)
  let atHigh = score(high)
  while (!(atMiddle <= atLow && atMiddle <= atHigh)) {
    step *= 1.6
    if (atLow < atHigh) {
      if (low <= LOW) break
      high = middle
      atHigh = atMiddle
      middle = low
      atMiddle = atLow
      low = Math.max(LOW, middle - step)
      atLow = score(low)
    } else {
      if (high >= HIGH) break
      low = middle
      atLow = atMiddle
      middle = high
      atMiddle = atHigh
      high = Math.min(HIGH, middle + step)
      atHigh = score(high)
    }
  }
  return goldenSection(score, low, high, CLOSE)
}
