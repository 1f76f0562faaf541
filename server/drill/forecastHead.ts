import type { Evidence, Features } from './drill.ts'

/** Weights of a logistic over Features. */
export type Head = readonly [number, number, number, number, number]

const PRIOR_RECALL: Head = [-0.6, 0.5, 1.1, 0, -0.25]
const PRIOR_IN_TIME: Head = [-1.6, 0.5, 1.1, 0, -0.25]
const PRIOR_SD = [1.2, 0.4, 0.4, 0.4, 0.25] as const
/** Answers on the evening of the last meeting say little about another day. */
const SAME_EVENING_DAYS = 0.27
const SAME_EVENING_WEIGHT = 0.15
/** ln(days since + .002) of SAME_EVENING_DAYS. */
const SAME_EVENING = Math.log(SAME_EVENING_DAYS + 0.002)
const KEPT = 4000
const STEPS = 12
const SIZE = 5

/** True for an answer given on another day than the item was last met. */
export const isOvernight = (features: Features): boolean => features[4] >= SAME_EVENING

/**
 * Weights fitted to a crew's own answers by maximum a posteriori, Newton's method: Σ w (y ln p + (1 − y) ln(1 − p)) − Σ ((β − prior) / sd)² / 2.
 * Priors from docs/method/learning.md (measured there on simulated learners). No evidence gives the prior itself. The objective has one top: `from`, weights fitted
 * before, saves steps and changes nothing else.
 */
export function fitHead(evidence: readonly Evidence[], about: 'recall' | 'in time', from?: Head): Head {
  const prior = about === 'recall' ? PRIOR_RECALL : PRIOR_IN_TIME
  const recent = evidence.slice(-KEPT)
  const beta: number[] = [...(from ?? prior)]
  const tried = [...beta]
  const gradient = new Float64Array(SIZE)
  const hessian = new Float64Array(SIZE * SIZE)
  for (let step = 0; step < STEPS; step++) {
    hessian.fill(0)
    for (let i = 0; i < SIZE; i++) {
      const precision = 1 / PRIOR_SD[i]! ** 2
      gradient[i] = (prior[i]! - beta[i]!) * precision
      hessian[i * SIZE + i] = precision
    }
    for (const { features, recalled, inTime } of recent) {
      let z = 0
      for (let i = 0; i < SIZE; i++) z += beta[i]! * features[i]!
      const p = 1 / (1 + Math.exp(-z))
      const weight = isOvernight(features) ? 1 : SAME_EVENING_WEIGHT
      const y = (about === 'recall' ? recalled : inTime) ? 1 : 0
      const slope = weight * (y - p)
      const bend = weight * p * (1 - p)
      for (let i = 0; i < SIZE; i++) {
        gradient[i]! += slope * features[i]!
        for (let j = 0; j <= i; j++) hessian[i * SIZE + j]! += bend * features[i]! * features[j]!
      }
    }
    const move = solveInPlace(hessian, gradient)
    let largest = 0
    for (let i = 0; i < SIZE; i++) largest = Math.max(largest, Math.abs(move[i]!))
    // Far from the top a whole Newton step overshoots, and then each one further: the objective must rise.
    let share = 1
    const before = objective(recent, beta, prior, about)
    for (let i = 0; i < SIZE; i++) tried[i] = beta[i]! + move[i]!
    while (objective(recent, tried, prior, about) < before && share > 1e-3) {
      share /= 2
      for (let i = 0; i < SIZE; i++) tried[i] = beta[i]! + share * move[i]!
    }
    for (let i = 0; i < SIZE; i++) beta[i] = tried[i]!
    if (largest * share < 1e-6) break
  }
  return beta as unknown as Head
}

/** Log posterior up to a constant. */
function objective(evidence: readonly Evidence[], beta: readonly number[], prior: Head, about: 'recall' | 'in time') {
  let sum = 0
  for (let i = 0; i < SIZE; i++) sum -= ((beta[i]! - prior[i]!) / PRIOR_SD[i]!) ** 2 / 2
  for (const { features, recalled, inTime } of evidence) {
    let z = 0
    for (let i = 0; i < SIZE; i++) z += beta[i]! * features[i]!
    const right = about === 'recall' ? recalled : inTime
    // ln(1 + e^−z) without overflow.
    const signed = right ? -z : z
    sum -=
      (isOvernight(features) ? 1 : SAME_EVENING_WEIGHT) *
      (Math.max(signed, 0) + Math.log1p(Math.exp(-Math.abs(signed))))
  }
  return sum
}

/** Chance that an item is known, 0…1. */
export function chance(head: Head, features: Features): number {
  return (
    1 /
    (1 +
      Math.exp(
        -(
          head[0] * features[0] +
          head[1] * features[1] +
          head[2] * features[2] +
          head[3] * features[3] +
          head[4] * features[4]
        ),
      ))
  )
}

/** Solves H x = g for the lower half of a positive definite H by Cholesky; both are overwritten. Returns g. */
function solveInPlace(h: Float64Array, g: Float64Array): Float64Array {
  for (let i = 0; i < SIZE; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = h[i * SIZE + j]!
      for (let k = 0; k < j; k++) sum -= h[i * SIZE + k]! * h[j * SIZE + k]!
      h[i * SIZE + j] = i === j ? Math.sqrt(sum) : sum / h[j * SIZE + j]!
    }
  }
  for (let i = 0; i < SIZE; i++) {
    let sum = g[i]!
    for (let k = 0; k < i; k++) sum -= h[i * SIZE + k]! * g[k]!
    g[i] = sum / h[i * SIZE + i]!
  }
  for (let i = SIZE - 1; i >= 0; i--) {
    let sum = g[i]!
    for (let k = i + 1; k < SIZE; k++) sum -= h[k * SIZE + i]! * g[k]!
    g[i] = sum / h[i * SIZE + i]!
  }
  return g
}
