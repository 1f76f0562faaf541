/**
 * A symmetric positive definite matrix of half bandwidth b, lower part by rows: `rows[i·(b+1) + k]` is A[i][i−b+k], k = b the diagonal.
 * Entries left of column 0 are 0. n rows.
 */
export interface Banded {
  readonly n: number
  readonly b: number
  readonly rows: Float64Array
}

export function newBanded(n: number, b: number): Banded {
  if (!(n >= 1 && b >= 0)) throw new RangeError(`newBanded: n >= 1 and b >= 0, got ${n}, ${b}`)
  return { n, b, rows: new Float64Array(n * (b + 1)) }
}

/** Adds w·dᵀd for a row vector d whose first nonzero stands at `from`; d.length ≤ b + 1. */
export function addOuterInPlace(A: Banded, from: number, d: ArrayLike<number>, w: number): void {
  for (let i = 0; i < d.length; i++) {
    const row = (from + i) * (A.b + 1) + A.b
    for (let j = 0; j <= i; j++) A.rows[row - i + j] = A.rows[row - i + j]! + w * d[i]! * d[j]!
  }
}

/** Cholesky factor L in the same places; A = L·Lᵀ. O(n·b²). Throws RangeError when A is not positive definite. */
export function factorInPlace(A: Banded): void {
  const { n, b, rows } = A
  const width = b + 1
  for (let i = 0; i < n; i++) {
    for (let j = Math.max(0, i - b); j <= i; j++) {
      let sum = rows[i * width + j - i + b]!
      for (let k = Math.max(0, i - b, j - b); k < j; k++)
        sum -= rows[i * width + k - i + b]! * rows[j * width + k - j + b]!
      if (i === j) {
        if (!(sum > 0)) throw new RangeError(`factorInPlace: not positive definite at row ${i}`)
        rows[i * width + b] = Math.sqrt(sum)
      } else rows[i * width + j - i + b] = sum / rows[j * width + b]!
    }
  }
}

/** log det A from its factor. */
export function logDeterminant(L: Banded): number {
  let sum = 0
  for (let i = 0; i < L.n; i++) sum += 2 * Math.log(L.rows[i * (L.b + 1) + L.b]!)
  return sum
}

/** x with A·x = y, from A's factor. y.length === n. */
export function solveFactored(L: Banded, y: ArrayLike<number>): Float64Array {
  const { n, b, rows } = L
  if (y.length !== n) throw new RangeError(`solveFactored: ${y.length} values for ${n} rows`)
  const width = b + 1
  const x = Float64Array.from(y)
  for (let i = 0; i < n; i++) {
    let sum = x[i]!
    for (let k = Math.max(0, i - b); k < i; k++) sum -= rows[i * width + k - i + b]! * x[k]!
    x[i] = sum / rows[i * width + b]!
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = x[i]!
    for (let k = i + 1; k <= Math.min(n - 1, i + b); k++) sum -= rows[k * width + i - k + b]! * x[k]!
    x[i] = sum / rows[i * width + b]!
  }
  return x
}
