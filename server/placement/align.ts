import type { RoadFeature } from '../route/route.ts'
import type { Metres } from '../units.ts'
import type { CallView } from './callView.ts'
import {
  crestOnCrest,
  lostPrice,
  oneOnOne,
  oneOnSeveral,
  pairTerm,
  type Scale,
  severalOnOne,
  skipCallPrice,
  skipFeaturePrice,
  skippedPairTerm,
} from './likelihood.ts'

/** A place that a call can be on: a feature of the road, an end, or a hand anchor where the road shows nothing. */
export type Place = {
  readonly from: Metres
  readonly to: Metres
  readonly feature: RoadFeature | null
  readonly end: boolean
}

export interface AlignInput {
  /** Start, the notes' calls, finish. */
  readonly calls: readonly CallView[]
  /** Start, features and anchor places by station, finish. */
  readonly places: readonly Place[]
  /** Call index → place index it must be on. */
  readonly anchors: ReadonlyMap<number, number>
  readonly scale: Scale
  /** What called distances are rounded to. */
  readonly rounding: Metres
}

/** Which places each call is on in the best alignment ([] when none), and how sure: posterior of its last place. */
export interface Alignment {
  readonly places: readonly (readonly number[])[]
  readonly posterior: readonly number[]
  /** Posterior of (call, last place), row by row. */
  readonly ending: Float64Array
  readonly evidence: number
}

const REACH = 6
const NONE = Number.NEGATIVE_INFINITY

/**
 * Exact inference over calls × places (placement.md §1): monotone, with 1–1, 1–2, 1–3 and 2–1 moves, prices for skipping either side, and the
 * lost chain, which lets any later place follow at the price of an outlier. Best path by maximum, confidence by sums. O(calls × places).
 */
export function align(input: AlignInput): Alignment {
  const N = input.calls.length
  const M = input.places.length
  const table = moves(input)
  const size = N * M
  const sum = { end: filled(size), IN: filled(size), LA: filled(size), LB: filled(size) }
  const top = { end: filled(size), IN: filled(size), LA: filled(size), LB: filled(size) }
  sum.end[0] = top.end[0] = 0
  for (let i = 0; i < N; i++) {
    for (let j = 0; j < M; j++) {
      const at = i * M + j
      if (at > 0) {
        table.into(i, j, (from, index, score) => {
          sum.IN[at] = add(sum.IN[at]!, sum[from][index]! + score)
          top.IN[at] = Math.max(top.IN[at]!, top[from][index]! + score)
        })
        table.ending(i, j, (index, score) => {
          sum.end[at] = add(sum.end[at]!, sum.IN[index]! + score)
          top.end[at] = Math.max(top.end[at]!, top.IN[index]! + score)
        })
      }
      table.losing(i, j, (from, index, score) => {
        sum.LA[at] = add(sum.LA[at]!, sum[from][index]! + score)
        top.LA[at] = Math.max(top.LA[at]!, top[from][index]! + score)
      })
      sum.LB[at] = j > 0 ? add(sum.LA[at]!, sum.LB[at - 1]! + table.skipPlace[j]!) : sum.LA[at]!
      top.LB[at] = j > 0 ? Math.max(top.LA[at]!, top.LB[at - 1]! + table.skipPlace[j]!) : top.LA[at]!
    }
  }
  const evidence = sum.end[size - 1]!
  const ending = posteriors(table, sum, N, M, evidence)
  const places = bestPath(table, top, N, M)
  const posterior = places.map((on, i) => (on.length === 0 ? 0 : Math.min(1, ending[i * M + on.at(-1)!]!)))
  return { places, posterior, ending, evidence }
}

const filled = (size: number) => new Float64Array(size).fill(NONE)

function add(a: number, b: number): number {
  if (b === NONE) return a
  if (a === NONE) return b
  return a > b ? a + Math.log1p(Math.exp(b - a)) : b + Math.log1p(Math.exp(a - b))
}

type State = 'end' | 'LA' | 'LB'
interface Moves {
  readonly skipPlace: Float64Array
  into(i: number, j: number, each: (from: 'end' | 'LB', index: number, score: number) => void): void
  ending(i: number, j: number, each: (index: number, score: number) => void): void
  losing(i: number, j: number, each: (from: State, index: number, score: number) => void): void
}

function moves(input: AlignInput): Moves {
  const { calls, places, anchors, scale, rounding } = input
  const M = places.length
  const corners = places.map((place) => (place.feature?.kind === 'corner' ? place.feature : null))
  const crestNear = places.map((place) =>
    places.some((other) => other.feature?.kind === 'crest' && other.from < place.to + 20 && other.to > place.from - 20),
  )
  const skipPlace = Float64Array.from(places, (place, j) => {
    if (place.end) return NONE
    if (place.feature === null) return anchored(j) ? NONE : 0
    const inCorner =
      place.feature.kind === 'crest' &&
      corners.some((corner) => corner !== null && corner.from < place.to && corner.to > place.from)
    return skipFeaturePrice(place.feature, inCorner)
  })
  const skipped = new Float64Array(M + 1) // prefix sums; ends are never skipped, so they count nothing here
  for (let j = 0; j < M; j++) skipped[j + 1] = skipped[j]! + (skipPlace[j] === NONE ? 0 : skipPlace[j]!)
  const skipCall = calls.map((call, i) =>
    call.kind === 'start' || call.kind === 'finish' || anchors.has(i) ? NONE : skipCallPrice(call),
  )
  const previous = corners.map((corner, j) => {
    if (corner === null) return -1
    let p = j - 1
    while (p > 0 && corners[p] === null) p--
    return p > 0 && corners[p]!.side === corner.side ? p : -1
  })
  function anchored(j: number): boolean {
    for (const place of anchors.values()) if (place === j) return true
    return false
  }
  const allowed = (i: number, j: number) => {
    const fixed = anchors.get(i)
    return fixed === undefined || fixed === j
  }
  const sharpBetween = (j1: number, j: number): Metres[] => {
    const gaps: Metres[] = []
    for (let q = j1 + 1; q < j; q++)
      if (corners[q] && corners[q]!.radius < 130) gaps.push(Math.max(0, corners[q]!.from - places[j1]!.to))
    return gaps
  }
  const single = (i: number, j: number): number => {
    const call = calls[i]!
    const place = places[j]!
    if (!allowed(i, j)) return NONE
    if (place.end) return (call.kind === 'start' && j === 0) || (call.kind === 'finish' && j === M - 1) ? 0 : NONE
    if (call.kind === 'start' || call.kind === 'finish') return NONE
    if (place.feature === null) return anchors.get(i) === j ? 0 : NONE
    const corner = corners[j]
    if (anchors.get(i) === j) return 0
    if (corner) return call.kind === 'corner' ? oneOnOne(call, corner, crestNear[j]!, scale) : NONE
    return call.kind === 'crest' ? crestOnCrest() : NONE
  }
  return {
    skipPlace,
    into(i, j, each) {
      if (i === 0 || j === 0) return
      each('LB', (i - 1) * M + j - 1, 0)
      let skippedCalls = 0
      for (let k = 0; k <= 2 && i - 1 - k >= 0; k++) {
        if (k > 0) skippedCalls += skipCall[i - k]!
        if (skippedCalls === NONE) return
        const i1 = i - 1 - k
        for (let j1 = Math.max(0, j - REACH); j1 < j; j1++) {
          const gap = Math.max(0, places[j]!.from - places[j1]!.to)
          const said =
            k === 0
              ? pairTerm(calls[i1]!, gap, sharpBetween(j1, j), scale, rounding)
              : skippedPairTerm(calls.slice(i1, i), gap, scale, rounding)
          each('end', i1 * M + j1, said + skippedCalls + skipped[j]! - skipped[j1 + 1]!)
        }
      }
    },
    ending(i, j, each) {
      const one = single(i, j)
      if (one !== NONE) each(i * M + j, one)
      const corner = corners[j]
      const call = calls[i]!
      if (!corner || call.kind !== 'corner' || !allowed(i, j)) return
      const p = previous[j]!
      if (p > 0) {
        each(i * M + p, oneOnSeveral(call, [corners[p]!, corner], crestNear[j]!, scale) + skipped[j]! - skipped[p + 1]!)
        const pp = previous[p]!
        if (pp > 0)
          each(
            i * M + pp,
            oneOnSeveral(call, [corners[pp]!, corners[p]!, corner], crestNear[j]!, scale) +
              skipped[j]! -
              skipped[pp + 1]! -
              (skipped[p + 1]! - skipped[p]!),
          )
      }
      if (i > 1 && calls[i - 1]!.kind === 'corner' && allowed(i - 1, j))
        each((i - 1) * M + j, severalOnOne(calls[i - 1]!, call, corner, crestNear[j]!, scale))
    },
    losing(i, j, each) {
      each('end', i * M + j, lostPrice(calls[i]!))
      if (i > 0 && skipCall[i] !== NONE) each('LA', (i - 1) * M + j, skipCall[i]!)
    },
  }
}

type Tables = {
  readonly end: Float64Array
  readonly IN: Float64Array
  readonly LA: Float64Array
  readonly LB: Float64Array
}

/** d ln Z / d end(i, j): the mirrored pass, each term's share of its sum handed back. */
function posteriors(table: Moves, sum: Tables, N: number, M: number, evidence: number): Float64Array {
  const size = N * M
  const grad = {
    end: new Float64Array(size),
    IN: new Float64Array(size),
    LA: new Float64Array(size),
    LB: new Float64Array(size),
  }
  if (evidence === NONE) return grad.end
  grad.end[size - 1] = 1
  const share = (value: number, term: number) => (value === NONE || term === NONE ? 0 : Math.exp(term - value))
  for (let i = N - 1; i >= 0; i--) {
    for (let j = M - 1; j >= 0; j--) {
      const at = i * M + j
      const lb = grad.LB[at]!
      if (lb > 0) {
        grad.LA[at] = grad.LA[at]! + lb * share(sum.LB[at]!, sum.LA[at]!)
        if (j > 0) grad.LB[at - 1] = grad.LB[at - 1]! + lb * share(sum.LB[at]!, sum.LB[at - 1]! + table.skipPlace[j]!)
      }
      const la = grad.LA[at]!
      if (la > 0) {
        table.losing(i, j, (from, index, score) => {
          grad[from][index] = grad[from][index]! + la * share(sum.LA[at]!, sum[from][index]! + score)
        })
      }
      const end = grad.end[at]!
      if (end > 1e-12 && at > 0) {
        table.ending(i, j, (index, score) => {
          grad.IN[index] = grad.IN[index]! + end * share(sum.end[at]!, sum.IN[index]! + score)
        })
      }
    }
    // Ends of this row hand back to starts of the row above too (two calls on one corner), so starts are settled when the row is.
    for (let j = M - 1; j >= 0; j--) {
      const at = i * M + j
      const into = grad.IN[at]!
      if (into <= 1e-12 || at === 0) continue
      table.into(i, j, (from, index, score) => {
        grad[from][index] = grad[from][index]! + into * share(sum.IN[at]!, sum[from][index]! + score)
      })
    }
  }
  return grad.end
}

const SAME = 1e-7

function bestPath(table: Moves, top: Tables, N: number, M: number): number[][] {
  const on: number[][] = Array.from({ length: N }, () => [])
  let state: State | 'IN' = 'end'
  let at = N * M - 1
  if (top.end[at] === NONE) return on
  for (let guard = 0; guard < 4 * (N + M) * 4 && !(state === 'end' && at === 0); guard++) {
    const i = Math.floor(at / M)
    const j = at % M
    const value: number = top[state][at]!
    let next: { state: State | 'IN'; at: number } | null = null
    const consider = (to: State | 'IN', index: number, score: number) => {
      if (next === null && Math.abs(score - value) < SAME) next = { state: to, at: index }
    }
    if (state === 'end') {
      table.ending(i, j, (index, score) => consider('IN', index, top.IN[index]! + score))
      const found = next as { state: State | 'IN'; at: number } | null
      if (found === null) return on
      const i0 = Math.floor(found.at / M)
      const j0 = found.at % M
      on[i] = i0 === i && j0 !== j ? spanOf(table, top, i, j, found.at, M) : [j]
      if (i0 === i - 1) on[i - 1] = [j]
    } else if (state === 'IN')
      table.into(i, j, (from, index, score) => consider(from, index, top[from][index]! + score))
    else if (state === 'LA')
      table.losing(i, j, (from, index, score) => consider(from, index, top[from][index]! + score))
    else {
      consider('LA', at, top.LA[at]!)
      if (j > 0) consider('LB', at - 1, top.LB[at - 1]! + table.skipPlace[j]!)
    }
    const found = next as { state: State | 'IN'; at: number } | null
    if (found === null) return on
    state = found.state
    at = found.at
  }
  return on
}

/** Corners of a run from its first place to its last: those that the move itself names. */
function spanOf(table: Moves, _top: Tables, i: number, j: number, first: number, M: number): number[] {
  const j0 = first % M
  const middle: number[] = []
  table.ending(i, j, (index) => {
    const k = index % M
    if (Math.floor(index / M) === i && k > j0 && k < j) middle.push(k)
  })
  return [j0, ...middle, j]
}
