/**
 * L of a symmetric positive definite matrix A = L Lᵀ, in place of its lower triangle (row by row, `n` columns). Throws RangeError where it is not definite.
 * For matrices of some tens of rows; O(n³/6).
 */
export function factorInPlace(a: Float64Array, n: number): void {
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = a[i * n + j]!
      for (let k = 0; k < j; k++) sum -= a[i * n + k]! * a[j * n + k]!
      if (i === j) {
        if (!(sum > 0)) throw new RangeError(`factorInPlace: not positive definite at row ${i}`)
        a[i * n + i] = Math.sqrt(sum)
      } else a[i * n + j] = sum / a[j * n + j]!
    }
  }
}

/** Solves L x = b in place of b. */
export function forwardInPlace(l: Float64Array, n: number, b: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let sum = b[i]!
    for (let k = 0; k < i; k++) sum -= l[i * n + k]! * b[k]!
    b[i] = sum / l[i * n + i]!
  }
}

/** Solves Lᵀ x = b in place of b. */
export function backwardInPlace(l: Float64Array, n: number, b: Float64Array): void {
  for (let i = n - 1; i >= 0; i--) {
    const x = b[i]! / l[i * n + i]!
    b[i] = x
    for (let k = 0; k < i; k++) b[k] = b[k]! - l[i * n + k]! * x
  }
}

/** ln det A from its factor. */
export function logDeterminant(l: Float64Array, n: number): number {
  let sum = 0
  for (let i = 0; i < n; i++) sum += Math.log(l[i * n + i]!)
  return 2 * sum
}
