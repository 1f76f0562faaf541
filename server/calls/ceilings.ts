import type { Seconds } from '../units.ts'

/** E(k) = a/k − alpha: a is a time at which the car is at a place, alpha seconds that do not scale. */
export interface EarlyTerm {
  readonly a: Seconds
  readonly alpha: Seconds
}

/** L(k) = T/k − rho: rho is reaction and word end. */
export interface LateTerm {
  readonly T: Seconds
  readonly rho: Seconds
}

export interface ScalingCall {
  /** Spoken length with its gap. */
  readonly length: Seconds
  readonly early: readonly EarlyTerm[]
  readonly late: readonly LateTerm[]
}

export interface ScaledCeiling {
  readonly fits: boolean
  /** Everything fits for kMin ≤ k ≤ kMax, k a factor on all speeds; kMax Infinity when nothing binds. */
  readonly kMin: number
  readonly kMax: number
  /** Calls that bind from above and from below. */
  readonly pair: readonly [number, number] | null
  readonly slowPair: readonly [number, number] | null
}

interface Worst {
  readonly over: number
  readonly N: number
  readonly G: number
  readonly pair: readonly [number, number]
}

const ROUNDING = 1e-9
const PASSES = 200

/**
 * Highest factor on all speeds at which the calls fit, in closed form (scheduling.md §6): with u = 1/k each pair i ≤ j asks u·G ≥ N, and
 * V(u) = max (N − uG) is convex and piecewise linear, so Newton from the left stops on its root. O(terms × passes).
 */
export function scaledCeiling(calls: readonly ScalingCall[]): ScaledCeiling {
  const never = (pair: Worst['pair']): ScaledCeiling => ({ fits: false, kMin: 0, kMax: 0, pair, slowPair: null })
  let u = 0
  let pair: Worst['pair'] | null = null
  for (let pass = 0; pass < PASSES; pass++) {
    const worst = worstAt(calls, u)
    if (worst.over <= ROUNDING) break
    if (worst.G <= ROUNDING) return never(worst.pair)
    u = worst.N / worst.G
    pair = worst.pair
  }
  const { kMin, slowPair } = slowest(calls)
  const kMax = u === 0 ? Number.POSITIVE_INFINITY : 1 / u
  return kMin > kMax ? never(pair ?? slowPair!) : { fits: true, kMin, kMax, pair, slowPair }
}

/** Where slower stops fitting: only when a pair's early place lies past its deadline place (G < 0). */
function slowest(calls: readonly ScalingCall[]): { kMin: number; slowPair: Worst['pair'] | null } {
  let u = 1e6 // a millionth of the speed: below anything a car does
  let slowPair: Worst['pair'] | null = null
  for (let pass = 0; pass < PASSES; pass++) {
    const worst = worstAt(calls, u)
    if (worst.over <= ROUNDING * Math.max(1, u) || worst.G >= 0) break
    u = worst.N / worst.G
    slowPair = worst.pair
  }
  return { kMin: slowPair === null ? 0 : 1 / u, slowPair }
}

// Runs over every term in each pass: plain numbers, no objects but the result.
function worstAt(calls: readonly ScalingCall[], u: number): Worst {
  let before = 0
  let earliest = Number.NEGATIVE_INFINITY
  let earlyPlace = 0
  let earlyCost = 0
  let earlyCall = 0
  let over = Number.NEGATIVE_INFINITY
  let N = 0
  let G = 0
  let from = 0
  let to = 0
  for (let j = 0; j < calls.length; j++) {
    const call = calls[j]!
    for (const { a, alpha } of call.early) {
      const value = u * a - alpha - before
      if (!(value > earliest)) continue
      earliest = value
      earlyPlace = a
      earlyCost = alpha + before
      earlyCall = j
    }
    for (const { T, rho } of call.late) {
      const late = earliest - (u * T - rho - before)
      if (!(late > over)) continue
      over = late
      N = rho + before - earlyCost
      G = T - earlyPlace
      from = earlyCall
      to = j
    }
    before += call.length
  }
  return { over, N, G, pair: [from, to] }
}

/**
 * Ceiling for the deadlines of each call alone, null where none binds: 1/k_j is the steepest slope from points (a_iq, C_i + alpha_iq), i ≤ j,
 * to (T_j, C_j + rho_j). The points form a lower hull in a, searched for its tangent: O(n log n) while `a` is non-decreasing in each early
 * kind, as it is for memory and the start; others are put in their place.
 */
export function callCeilings(calls: readonly ScalingCall[]): (number | null)[] {
  const hull: { x: number; y: number }[] = []
  let before = 0
  return calls.map((call) => {
    for (const { a, alpha } of call.early) addToHull(hull, { x: a, y: before + alpha })
    let u = 0
    for (const { T, rho } of call.late) u = Math.max(u, steepest(hull, { x: T, y: before + rho }))
    before += call.length
    return u <= ROUNDING ? null : 1 / u
  })
}

const turn = (a: { x: number; y: number }, b: { x: number; y: number }, c: { x: number; y: number }) =>
  (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)

/** Keeps the lower hull of all points so far, by x ascending. */
function addToHull(hull: { x: number; y: number }[], point: { x: number; y: number }): void {
  let at = hull.length
  while (at > 0 && hull[at - 1]!.x > point.x) at--
  if (at > 0 && hull[at - 1]!.x === point.x) {
    if (hull[at - 1]!.y <= point.y) return
    hull.splice(--at, 1)
  }
  if (at > 0 && at < hull.length && turn(hull[at - 1]!, hull[at]!, point) >= 0) return
  hull.splice(at, 0, point)
  while (at >= 2 && turn(hull[at - 2]!, hull[at - 1]!, hull[at]!) <= 0) hull.splice(--at, 1)
  while (at + 2 < hull.length && turn(hull[at]!, hull[at + 1]!, hull[at + 2]!) <= 0) hull.splice(at + 1, 1)
}

/** Steepest slope from a hull point left of `to`; Infinity when one is not left of it and not below (no speed fits). */
function steepest(hull: readonly { x: number; y: number }[], to: { x: number; y: number }): number {
  let low = 0
  let high = hull.length - 1
  if (high < 0) return Number.NEGATIVE_INFINITY
  while (low < high) {
    const middle = (low + high) >> 1
    if (slope(hull[middle]!, to) < slope(hull[middle + 1]!, to)) low = middle + 1
    else high = middle
  }
  return slope(hull[low]!, to)
}

function slope(from: { x: number; y: number }, to: { x: number; y: number }): number {
  if (to.x > from.x) return (to.y - from.y) / (to.x - from.x)
  return to.y > from.y ? Number.POSITIVE_INFINITY : Number.NEGATIVE_INFINITY
}
