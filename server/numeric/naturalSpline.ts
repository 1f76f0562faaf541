/** Cubic spline through values at ascending knots, second derivative 0 at both ends; C2. */
export interface NaturalSpline {
  readonly knots: Float64Array
  readonly values: Float64Array
  /** Second derivatives at the knots. */
  readonly second: Float64Array
}

/** The spline, by the tridiagonal system of continuity of the first derivative. knots.length === values.length ≥ 2. O(n). */
export function naturalSpline(knots: ArrayLike<number>, values: ArrayLike<number>): NaturalSpline {
  const n = knots.length
  if (n < 2 || values.length !== n)
    throw new RangeError(`naturalSpline: needs two knots and as many values, got ${n} and ${values.length}`)
  const second = new Float64Array(n)
  const c = new Float64Array(n)
  for (let i = 1; i < n - 1; i++) {
    const h0 = knots[i]! - knots[i - 1]!
    const h1 = knots[i + 1]! - knots[i]!
    if (!(h0 > 0 && h1 > 0)) throw new RangeError(`naturalSpline: knots must ascend, at ${i}`)
    const right = 6 * ((values[i + 1]! - values[i]!) / h1 - (values[i]! - values[i - 1]!) / h0)
    const pivot = 2 * (h0 + h1) - h0 * c[i - 1]!
    c[i] = h1 / pivot
    second[i] = (right - h0 * second[i - 1]!) / pivot
  }
  for (let i = n - 2; i >= 1; i--) second[i] = second[i]! - c[i]! * second[i + 1]!
  return { knots: Float64Array.from(knots), values: Float64Array.from(values), second }
}

/** Value and first two derivatives at x, cell i given (knots[i] ≤ x ≤ knots[i+1]). */
export function splineAt(s: NaturalSpline, i: number, x: number): { value: number; first: number; second: number } {
  const h = s.knots[i + 1]! - s.knots[i]!
  const a = (s.knots[i + 1]! - x) / h
  const b = 1 - a
  const m0 = s.second[i]!
  const m1 = s.second[i + 1]!
  return {
    value: a * s.values[i]! + b * s.values[i + 1]! + (((a * a * a - a) * m0 + (b * b * b - b) * m1) * (h * h)) / 6,
    first: (s.values[i + 1]! - s.values[i]!) / h + ((1 - 3 * a * a) * m0 + (3 * b * b - 1) * m1) * (h / 6),
    second: a * m0 + b * m1,
  }
}

/** First derivative alone. */
export function splineSlope(s: NaturalSpline, i: number, x: number): number {
  const h = s.knots[i + 1]! - s.knots[i]!
  const a = (s.knots[i + 1]! - x) / h
  const b = 1 - a
  return (
    (s.values[i + 1]! - s.values[i]!) / h +
    ((1 - 3 * a * a) * s.second[i]! + (3 * b * b - 1) * s.second[i + 1]!) * (h / 6)
  )
}
