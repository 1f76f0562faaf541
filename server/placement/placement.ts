import type { Metres } from '../units.ts'

/** A part of a placed call: the corner, or its tightened or opened rest. `[from, to)`. */
export interface PlacedPart {
  readonly from: Metres
  readonly to: Metres
  readonly radius: Metres
  /** Element of the call this part stands for (the corner, or its change), or null. */
  readonly element: number | null
}

/** By a road feature; by the called distances, where the road shows none; by hand. */
export type PlacedBy = 'feature' | 'distance' | 'anchor'

export interface PlacedCall {
  readonly index: number
  /** Where the feature begins (turn-in, or the crest) and ends. from <= to. */
  readonly from: Metres
  readonly to: Metres
  /** At least one, in road order; the first starts at `from`. */
  readonly parts: readonly PlacedPart[]
  /** Indices into route.features. */
  readonly features: readonly number[]
  /** Station of each element of the call (docs/method/placement.md), parallel to call.elements. */
  readonly stations: readonly Metres[]
  /** Station of a crest, jump, dip or bump named in the call, or null. */
  readonly crest: Metres | null
  /** Posterior probability 0…1 that the call belongs here (± 10 m). 1 for anchors. */
  readonly confidence: number
  readonly by: PlacedBy
  /** Probability that no feature of the road is this call's, 0…1. */
  readonly nowhere?: number
  /** The call shares one corner of the road with the call before (−1) or after (1), where the road shows two as one. */
  readonly mate?: -1 | 0 | 1
}

export interface Anchor {
  readonly call: number
  /** Text of the call when it was anchored: an anchor follows its call when notes are edited. */
  readonly text: string
  readonly station: Metres
}

export interface GradeScaleRow {
  readonly grade: string
  readonly radius: Metres
  /** One standard deviation of ln radius. */
  readonly spread: number
  readonly calls: number
  /** The table's radius for this grade, for comparison. */
  readonly table?: Metres
}

export interface Finding {
  readonly code:
    | 'corner-not-called'
    | 'direction-wrong'
    | 'grade-off'
    | 'tightens-missing'
    | 'tightens-wrong'
    | 'distance-wrong'
    | 'crest-hides-corner'
    | 'call-without-feature'
    | 'caution-absent'
    | 'anchor-not-held'
  readonly severity: 'warning' | 'hint'
  readonly station: Metres
  /** Call it is about, or the call before it. */
  readonly call: number | null
  /** One sentence with its numbers. */
  readonly message: string
  /** The same numbers, SI. */
  readonly numbers?: Readonly<Record<string, number>>
}

export interface Placement {
  readonly calls: readonly PlacedCall[]
  readonly gradeScale: readonly GradeScaleRow[]
  /** Called distance ÷ road distance, fitted. */
  readonly odometer: number
  /** By how much more than the road's own gap the crew measures from corner to corner, fitted. */
  readonly ends?: Metres
  /** ln of the evidence; comparable between systems on the same road. */
  readonly evidence: number
  /** Spread of the crew's grades, one standard deviation of ln radius, all grades together. */
  readonly spread?: number
  /** How far the road's making flattens short tight bends, m·rad²: radii under it are not held against a call. */
  readonly blur?: number
  /** Probability that some call names each feature of the road, parallel to route.features. */
  readonly called?: readonly number[]
  /** Hand anchors that could not be held, and why. */
  readonly unheld?: readonly UnheldAnchor[]
}

export interface UnheldAnchor {
  readonly anchor: Anchor
  /** It crosses a newer anchor; its call is no longer in the notes; the road does not reach so far. */
  readonly reason: 'crosses' | 'call-gone' | 'off-road'
}
