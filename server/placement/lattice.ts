import type { CornerFeature, RoadFeature } from '../route/route.ts'
import type { Metres } from '../units.ts'
import type { CallView } from './callView.ts'
import {
  crestOnCrest,
  lostPrice,
  NEVER,
  oneOnOne,
  oneOnSeveral,
  pairTerm,
  type Scale,
  severalOnOne,
  skipCallPrice,
  skipFeaturePrice,
  skippedPairTerm,
} from './likelihood.ts'
import { joinParts } from './places.ts'
import { endExcess } from './shownEnds.ts'

/** A place that a call can be on: a feature of the road or a part of one, an end, or a hand anchor where the road shows nothing. */
export type Place = {
  readonly from: Metres
  readonly to: Metres
  readonly feature: RoadFeature | null
  readonly end: boolean
  /** Set where a corner was cut at a dip of its curvature, which may be two corners or one. */
  readonly part?: PlacePart
}

export interface PlacePart {
  readonly whole: CornerFeature
  readonly nth: number
  readonly of: number
  /** Probability that the cut between this part and the one before (0 for the first) parts two corners. */
  readonly cut: number
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

/** Pairs reach this many places on; the lost chain takes what lies farther (measured on made stages: 4, 6 and 20 give the same). */
export const REACH = 7
export const NONE = Number.NEGATIVE_INFINITY

/** Prices that depend on a place or a call alone, the same in every window. */
export interface Ground {
  readonly N: number
  readonly M: number
  readonly corners: readonly (CornerFeature | null)[]
  readonly crestNear: Uint8Array
  readonly skipPlace: Float64Array
  /** Sums of skipPlace: skipping places a…b−1 costs skipped[b] − skipped[a]; ends count nothing, since they are never skipped. */
  readonly skipped: Float64Array
  readonly skipCall: Float64Array
  readonly lost: Float64Array
  /** The corner before on the same side, or −1. */
  readonly previous: Int32Array
  /** Place a call must be on, or −1. */
  readonly fixed: Int32Array
  /** Gaps to sharp corners: prefix counts of their places. */
  readonly sharp: readonly number[]
  readonly sharpBefore: Int32Array
}

/** An uncalled corner tighter than this may be where a distance leads that was meant for a call now missing. */
const SHARP: Metres = 130
/** A crest this near a corner may be the one its call names. */
const CREST_NEAR: Metres = 20

export function groundOf(input: AlignInput): Ground {
  const { calls, places, anchors } = input
  const N = calls.length
  const M = places.length
  const corners = places.map((place) => (place.feature?.kind === 'corner' ? place.feature : null))
  const crests = places.filter((place) => place.feature?.kind === 'crest')
  const crestNear = new Uint8Array(M)
  const previous = new Int32Array(M).fill(-1)
  const skipPlace = new Float64Array(M)
  const anchored = new Set(anchors.values())
  const sharp: number[] = []
  const sharpBefore = new Int32Array(M + 1)
  let first = 0
  let corner = -1
  for (let j = 0; j < M; j++) {
    const place = places[j]!
    while (first < crests.length && crests[first]!.to <= place.from - 200) first++
    let inCorner = false
    for (let c = first; c < crests.length && crests[c]!.from < place.to + CREST_NEAR; c++)
      if (crests[c]!.to > place.from - CREST_NEAR) crestNear[j] = 1
    if (corners[j]) {
      if (corner >= 0 && corners[corner]!.side === corners[j]!.side) previous[j] = corner
      corner = j
      if (corners[j]!.radius < SHARP) sharp.push(j)
    } else if (place.feature?.kind === 'crest') {
      for (let k = Math.max(0, j - 3); k < Math.min(M, j + 4); k++)
        if (corners[k] && corners[k]!.from < place.to && corners[k]!.to > place.from) inCorner = true
    }
    sharpBefore[j + 1] = sharp.length
    if (place.end) skipPlace[j] = NONE
    else if (place.feature === null) skipPlace[j] = anchored.has(j) ? NONE : 0
    else if (place.part) skipPlace[j] = skipFeaturePrice(place.part.whole, false) / place.part.of
    else skipPlace[j] = skipFeaturePrice(place.feature, inCorner)
  }
  const skipped = new Float64Array(M + 1)
  for (let j = 0; j < M; j++) skipped[j + 1] = skipped[j]! + (skipPlace[j] === NONE ? 0 : skipPlace[j]!)
  const fixed = new Int32Array(N).fill(-1)
  for (const [call, place] of anchors) fixed[call] = place
  const skipCall = Float64Array.from(calls, (call, i) =>
    call.kind === 'start' || call.kind === 'finish' || fixed[i]! >= 0 ? NONE : skipCallPrice(call),
  )
  const lost = Float64Array.from(calls, lostPrice)
  return { N, M, corners, crestNear, skipPlace, skipped, skipCall, lost, previous, fixed, sharp, sharpBefore }
}

/** One call on one place. */
export function single(input: AlignInput, ground: Ground, i: number, j: number): number {
  const call = input.calls[i]!
  const place = input.places[j]!
  const fixed = ground.fixed[i]!
  if (fixed >= 0) return fixed === j ? 0 : NONE
  if (place.end) return (call.kind === 'start' && j === 0) || (call.kind === 'finish' && j === ground.M - 1) ? 0 : NONE
  if (call.kind === 'start' || call.kind === 'finish' || place.feature === null) return NONE
  const corner = ground.corners[j]
  if (!corner) return call.kind === 'crest' ? crestOnCrest() : NONE
  if (call.kind !== 'corner') return NONE
  return oneOnOne(call, corner, ground.crestNear[j] === 1, input.scale) + aloneOnPart(place.part)
}

/** A part taken by itself: the cuts at its ends must be real; each cut is paid half by each side. */
const aloneOnPart = (part: PlacePart | undefined): number =>
  part === undefined ? 0 : 0.5 * (part.nth > 0 ? Math.log(part.cut) : 0)

/** Rows of places each call may be on, and every price within them. Cell (i, j) is at `row[i] + j − lo[i]`. */
export interface Lattice {
  readonly ground: Ground
  readonly lo: Int32Array
  readonly hi: Int32Array
  readonly row: Int32Array
  readonly size: number
  readonly one: Float64Array
  readonly two: Float64Array
  readonly three: Float64Array
  /** This call and the one before on the same place. */
  readonly shared: Float64Array
  /** By how much the place is shown too long at each end for this call, metres (`shownEnds.ts`). */
  readonly excess: Float64Array
  /** (cell, calls skipped 0…2, places back 1…REACH): from the end of an earlier call to this one's start. */
  readonly pair: Float64Array
}

export const SKIPS = 3

export function latticeOf(input: AlignInput, ground: Ground, lo: Int32Array, hi: Int32Array): Lattice {
  const { N } = ground
  const row = new Int32Array(N + 1)
  for (let i = 0; i < N; i++) row[i + 1] = row[i]! + hi[i]! - lo[i]! + 1
  const size = row[N]!
  const lattice: Lattice = {
    ground,
    lo,
    hi,
    row,
    size,
    one: new Float64Array(size).fill(NONE),
    two: new Float64Array(size).fill(NONE),
    three: new Float64Array(size).fill(NONE),
    shared: new Float64Array(size).fill(NONE),
    excess: new Float64Array(size),
    pair: new Float64Array(size * SKIPS * REACH).fill(NONE),
  }
  for (let i = 0; i < N; i++) {
    for (let j = lo[i]!; j <= hi[i]!; j++) {
      const at = row[i]! + j - lo[i]!
      lattice.one[at] = single(input, ground, i, j)
      const corner = ground.corners[j]
      if (corner && input.calls[i]!.kind === 'corner')
        lattice.excess[at] = endExcess(input.calls[i]!, corner.radius, corner.angle, input.scale)
      priceSpansInPlace(input, lattice, i, j, at)
      if (i > 0 && j > 0) pricePairsInPlace(input, lattice, i, j, at)
    }
  }
  return lattice
}

function priceSpansInPlace(input: AlignInput, lattice: Lattice, i: number, j: number, at: number): void {
  const { ground } = lattice
  const call = input.calls[i]!
  const corner = ground.corners[j]
  if (!corner || call.kind !== 'corner' || (ground.fixed[i]! >= 0 && ground.fixed[i] !== j)) return
  const near = ground.crestNear[j] === 1
  const p = ground.previous[j]!
  if (p > 0) {
    const between = ground.skipped[j]! - ground.skipped[p + 1]!
    lattice.two[at] = spanPrice(input, [p, j], call, near) + between
    const pp = ground.previous[p]!
    if (pp > 0) {
      const before = ground.skipped[p]! - ground.skipped[pp + 1]!
      lattice.three[at] = spanPrice(input, [pp, p, j], call, near) + between + before
    }
  }
  if (i > 1 && input.calls[i - 1]!.kind === 'corner' && (ground.fixed[i - 1]! < 0 || ground.fixed[i - 1] === j))
    lattice.shared[at] = severalOnOne(input.calls[i - 1]!, call, corner, near, input.scale)
}

/**
 * One call on several places. All the parts of one cut corner are that corner again, at the chance that no cut was real, alone or as one part of a
 * compound.
 */
function spanPrice(input: AlignInput, on: readonly number[], call: CallView, near: boolean): number {
  const places = on.map((j) => input.places[j]!)
  const parts = places.map((place) => place.feature as CornerFeature)
  const price = oneOnSeveral(call, parts, near, input.scale)
  const { corners, uncut } = joinParts(places)
  if (corners.length === places.length) return price <= NEVER / 2 ? NONE : price
  const whole =
    corners.length === 1
      ? oneOnOne(call, corners[0]!, near, input.scale)
      : oneOnSeveral(call, corners, near, input.scale)
  // With some other corner beside, the parts taken one by one say nothing that the whole does not.
  return corners.length === 1 ? Math.max(price, whole) + uncut : Math.max(price, whole + uncut)
}

const gaps: Metres[] = []

function pricePairsInPlace(input: AlignInput, lattice: Lattice, i: number, j: number, at: number): void {
  const { ground, lo, hi, row, excess } = lattice
  const { calls, places, scale, rounding } = input
  let skippedCalls = 0
  for (let k = 0; k < SKIPS && i - 1 - k >= 0; k++) {
    if (k > 0) skippedCalls += ground.skipCall[i - k]!
    if (skippedCalls === NONE) return
    const i1 = i - 1 - k
    const between = k === 0 ? null : calls.slice(i1, i)
    for (let j1 = Math.max(lo[i1]!, j - REACH); j1 < j && j1 <= hi[i1]!; j1++) {
      const gap = Math.max(0, places[j]!.from - places[j1]!.to) + excess[at]! + excess[row[i1]! + j1 - lo[i1]!]!
      let said: number
      if (between) said = skippedPairTerm(between, gap, scale, rounding)
      else {
        gaps.length = 0
        for (let q = ground.sharpBefore[j1 + 1]!; q < ground.sharpBefore[j]!; q++)
          gaps.push(Math.max(0, places[ground.sharp[q]!]!.from - places[j1]!.to))
        said = pairTerm(calls[i1]!, gap, gaps, scale, rounding)
      }
      lattice.pair[(at * SKIPS + k) * REACH + (j - j1 - 1)] =
        said + skippedCalls + ground.skipped[j]! - ground.skipped[j1 + 1]!
    }
  }
}
