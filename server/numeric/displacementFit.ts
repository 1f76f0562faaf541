import { goldenSection } from './goldenSection.ts'
export interface DisplacementProblem {
  /** Nodes on a line, evenly `h` apart, numbered from 0. */
  readonly nodes: number
  /** Where each datum lies, in nodes (2.25: a quarter between nodes 2 and 3), within [0, nodes − 1]; its value and its weight. */
  readonly at: Float64Array
  readonly value: Float64Array
  readonly weight: Float64Array
  /** Curvature at the nodes before displacement, and 1/h². */
  readonly curvature: Float64Array
  readonly inverseSquare: number
  /** Price of a step of curvature between nodes j and j + 1, length nodes − 1. */
  readonly stiffness: Float64Array
  /** Weight that holds each node to no displacement (Levenberg), in data of weight 1; 0 lets it free. Length nodes. */
  readonly hold?: Float64Array
}

export interface DisplacementFit {
  readonly u: Float64Array
  readonly lambda: number
  /** σ² of a datum of weight 1. */
  readonly variance: number
}

/** ln λ is looked for this far either side of where it was begun. */
const REACH = 3
const CLOSE = 0.08
/** Holds nodes in long gaps, where no datum does: a hundred-thousandth of a datum each, too little to bend the road. */
const RIDGE = 1e-5

/**
 * Displacement u across a curve that brings it to data while its curvature κ + u″ + κ²u changes little (Gauss–Newton step of docs/method/route.md's curvature fit):
 *   minimise Σ w_i (r_i − u(s_i))² + λ Σ_j g_j (κ′_{j+1} − κ′_j)²,  κ′_j = κ_j + (u_{j−1} − 2u_j + u_{j+1})/h² + κ_j² u_j
 * u between nodes is linear. `lambda` is used as given, or, with `search`, moved to where the marginal likelihood
 *   S/σ² + ln det B − (N − 3) ln λ + (n − 3) ln σ²,  σ² = S/(n − 3)
 * is best, `most` at the most. Seven diagonals, O(nodes + data) an evaluation. nodes ≥ 5, at least 4 data.
 */
export function displacementFit(
  p: DisplacementProblem,
  lambda: number,
  search: boolean,
  most = Number.POSITIVE_INFINITY,
): DisplacementFit {
  if (p.nodes < 5) throw new RangeError(`displacementFit: needs 5 nodes, got ${p.nodes}`)
  if (p.at.length < 4) throw new RangeError(`displacementFit: needs 4 data, got ${p.at.length}`)
  if (!(lambda > 0)) throw new RangeError(`displacementFit: lambda must be > 0, got ${lambda}`)
  const system = normalEquations(p)
  let used = lambda
  if (search) {
    const score = (x: number) => solveInPlace(system, Math.exp(x)).score
    const begun = Math.log(lambda)
    used = Math.min(most, Math.exp(goldenSection(score, begun - REACH, begun + REACH, CLOSE)))
  }
  const { variance } = solveInPlace(system, used)
  return { u: system.u, lambda: used, variance }
}

interface NormalEquations {
  readonly n: number
  readonly data: number
  /** Entry (i, i − k) at 4i + k: of the data, and of the price of curvature steps. */
  readonly dataBands: Float64Array
  readonly priceBands: Float64Array
  readonly dataRight: Float64Array
  readonly priceRight: Float64Array
  /** Σ w r², Σ g c². */
  readonly dataSquare: number
  readonly priceSquare: number
  readonly factor: Float64Array
  readonly u: Float64Array
}

function normalEquations(p: DisplacementProblem): NormalEquations {
  const n = p.nodes
  const dataBands = new Float64Array(4 * n)
  const priceBands = new Float64Array(4 * n)
  const dataRight = new Float64Array(n)
  const priceRight = new Float64Array(n)
  let dataSquare = 0
  let priceSquare = 0
  for (let i = 0; i < n; i++) dataBands[4 * i] = RIDGE + (p.hold ? p.hold[i]! : 0)
  for (let i = 0; i < p.at.length; i++) {
    const j = Math.min(n - 2, Math.max(0, Math.floor(p.at[i]!)))
    const b = p.at[i]! - j
    const a = 1 - b
    const w = p.weight[i]!
    const r = p.value[i]!
    dataBands[4 * j] = dataBands[4 * j]! + w * a * a
    dataBands[4 * j + 4] = dataBands[4 * j + 4]! + w * b * b
    dataBands[4 * j + 5] = dataBands[4 * j + 5]! + w * a * b
    dataRight[j] = dataRight[j]! + w * a * r
    dataRight[j + 1] = dataRight[j + 1]! + w * b * r
    dataSquare += w * r * r
  }
  const d = new Float64Array(4)
  const e = p.inverseSquare
  for (let j = 1; j + 2 < n; j++) {
    const k0 = p.curvature[j]!
    const k1 = p.curvature[j + 1]!
    const g = p.stiffness[j]!
    const c = k1 - k0
    d[0] = -e
    d[1] = 3 * e - k0 * k0
    d[2] = -3 * e + k1 * k1
    d[3] = e
    for (let a = 0; a < 4; a++) {
      for (let b = 0; b <= a; b++) {
        const at = 4 * (j - 1 + a) + a - b
        priceBands[at] = priceBands[at]! + g * d[a]! * d[b]!
      }
      priceRight[j - 1 + a] = priceRight[j - 1 + a]! - g * d[a]! * c
    }
    priceSquare += g * c * c
  }
  return {
    n,
    data: p.at.length,
    dataBands,
    priceBands,
    dataRight,
    priceRight,
    dataSquare,
    priceSquare,
    factor: new Float64Array(4 * n),
    u: new Float64Array(n),
  }
}

function solveInPlace(e: NormalEquations, lambda: number): { score: number; variance: number } {
  const { n, factor, u, dataBands, priceBands } = e
  let logDeterminant = 0
  let product = 1
  for (let i = 0; i < n; i++) {
    const r = 4 * i
    const a3 = i > 2 ? lambda * priceBands[r + 3]! : 0
    const d3 = i > 2 ? factor[r - 12]! : 1
    const a2 = i > 1 ? lambda * priceBands[r + 2]! - (i > 2 ? a3 * factor[r - 7]! : 0) : 0
    const d2 = i > 1 ? factor[r - 8]! : 1
    const a1 =
      i > 0
        ? lambda * priceBands[r + 1]! +
          dataBands[r + 1]! -
          (i > 1 ? a2 * factor[r - 3]! : 0) -
          (i > 2 ? a3 * factor[r - 2]! : 0)
        : 0
    const d1 = i > 0 ? factor[r - 4]! : 1
    const l3 = a3 / d3
    const l2 = a2 / d2
    const l1 = a1 / d1
    const pivot = lambda * priceBands[r]! + dataBands[r]! - l1 * a1 - l2 * a2 - l3 * a3
    if (!(pivot > 0)) throw new RangeError(`displacementFit: not positive definite at node ${i}`)
    factor[r] = pivot
    factor[r + 1] = l1
    factor[r + 2] = l2
    factor[r + 3] = l3
    product *= pivot
    if (product > 1e200 || product < 1e-200) {
      logDeterminant += Math.log(product)
      product = 1
    }
    let sum = e.dataRight[i]! + lambda * e.priceRight[i]!
    if (i > 0) sum -= l1 * u[i - 1]!
    if (i > 1) sum -= l2 * u[i - 2]!
    if (i > 2) sum -= l3 * u[i - 3]!
    u[i] = sum
  }
  logDeterminant += Math.log(product)
  for (let i = n - 1; i >= 0; i--) {
    let sum = u[i]! / factor[4 * i]!
    if (i + 1 < n) sum -= factor[4 * i + 5]! * u[i + 1]!
    if (i + 2 < n) sum -= factor[4 * i + 10]! * u[i + 2]!
    if (i + 3 < n) sum -= factor[4 * i + 15]! * u[i + 3]!
    u[i] = sum
  }
  let least = e.dataSquare + lambda * e.priceSquare
  for (let i = 0; i < n; i++) least -= u[i]! * (e.dataRight[i]! + lambda * e.priceRight[i]!)
  const variance = Math.max(1e-8, least / (e.data - 3))
  return {
    variance,
    score:
      Math.max(0, least) / variance + logDeterminant - (n - 3) * Math.log(lambda) + (e.data - 3) * Math.log(variance),
  }
}
