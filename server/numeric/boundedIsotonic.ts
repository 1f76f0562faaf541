/**
 * Bounded isotonic regression, exact and linear: the y minimising Σ w_i (y_i − p_i)² subject to y_0 ≤ y_1 ≤ … and lo_i ≤ y_i ≤ hi_i.
 * Blocks of equal value are merged while neighbours are out of order; a block's value is its weighted mean clamped to the meet of its
 * bounds (scheduling.md §3). Fitting first and clipping afterwards is not exact.
 * All arrays of one length n ≥ 0, w > 0. The problem must be feasible: max(lo_0…lo_i) ≤ min(hi_i…). Throws RangeError otherwise.
 */
export function boundedIsotonic(q: {
  readonly preferred: ArrayLike<number>
  readonly weight: ArrayLike<number>
  readonly low: ArrayLike<number>
  readonly high: ArrayLike<number>
}): Float64Array {
  const n = q.preferred.length
  if (q.weight.length !== n || q.low.length !== n || q.high.length !== n) {
    throw new RangeError(`boundedIsotonic: lengths differ: ${n}, ${q.weight.length}, ${q.low.length}, ${q.high.length}`)
  }
  const W = new Float64Array(n)
  const S = new Float64Array(n)
  const low = new Float64Array(n)
  const high = new Float64Array(n)
  const value = new Float64Array(n)
  const start = new Int32Array(n + 1)
  let top = -1
  for (let i = 0; i < n; i++) {
    if (!(q.weight[i]! > 0)) throw new RangeError(`boundedIsotonic: weight[${i}] must be > 0, got ${q.weight[i]}`)
    top++
    W[top] = q.weight[i]!
    S[top] = q.weight[i]! * q.preferred[i]!
    low[top] = q.low[i]!
    high[top] = q.high[i]!
    start[top] = i
    value[top] = clamp(q.preferred[i]!, low[top]!, high[top]!, i)
    while (top > 0 && value[top - 1]! > value[top]!) {
      W[top - 1] = W[top - 1]! + W[top]!
      S[top - 1] = S[top - 1]! + S[top]!
      low[top - 1] = Math.max(low[top - 1]!, low[top]!)
      high[top - 1] = Math.min(high[top - 1]!, high[top]!)
      top--
      value[top] = clamp(S[top]! / W[top]!, low[top]!, high[top]!, i)
    }
  }
  const y = new Float64Array(n)
  start[top + 1] = n
  for (let block = 0; block <= top; block++) y.fill(value[block]!, start[block]!, start[block + 1]!)
  return y
}

/** Bounds that miss each other by rounding alone meet in the middle. */
const ROUNDING = 1e-7

function clamp(value: number, low: number, high: number, i: number): number {
  if (low > high) {
    if (low - high > ROUNDING * Math.max(1, Math.abs(low)))
      throw new RangeError(`boundedIsotonic: no value fits at ${i}: ${low} > ${high}`)
    return (low + high) / 2
  }
  return Math.min(high, Math.max(low, value))
}
