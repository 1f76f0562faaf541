import type { EpochTime, Metres, PerMetre, Radians } from '../units.ts'

/** What was dropped, repaired or not understood: reason → how many. Reasons are words shown to the user. */
export type Losses = Readonly<Record<string, number>>

/**
 * What an importer gives: points as they came, parallel arrays of one length, null for unknown. No smoothing here.
 * Either geographic (degrees, WGS 84) or planar (metres, x east, y north), never both.
 */
export interface RouteDraft {
  readonly name: string
  /** Name of the file it came from, for refusals. */
  readonly file?: string
  readonly format: 'gpx' | 'kml' | 'tcx' | 'geojson' | 'opendrive' | 'csv' | 'notes'
  readonly frame: 'geographic' | 'planar'
  /** Latitude in degrees, or y in metres. */
  readonly northing: readonly number[]
  /** Longitude in degrees, or x in metres. */
  readonly easting: readonly number[]
  readonly height: readonly (Metres | null)[]
  readonly time: readonly (EpochTime | null)[]
  /** Index of the first point of each piece after the first (trkseg, separate line). Ascending. */
  readonly breaks: readonly number[]
  /** Full width of the road where the file says it. */
  readonly width?: readonly (Metres | null)[]
  /** Superelevation where the file says it: banking across the road, > 0 where the right side is lower (ASAM OpenDRIVE 1.8.1). */
  readonly bank?: readonly (Radians | null)[]
  /** True when points are exact samples of a designed line (OpenDRIVE): no noise to smooth away. */
  readonly exact?: boolean
  readonly losses: Losses
  /** What the file calls its pieces, parallel to 0 and `breaks`; '' where it has no name for one. */
  readonly names?: readonly string[]
}

/** A line of the files a road is made of, as a crew may choose it. */
export interface RoadLine {
  /** What the file calls it, or "line 2". */
  readonly name: string
  readonly file: string
  /** Point to point. */
  readonly length: Metres
  readonly points: number
  readonly used: boolean
  /** Driven from its end to its start, so that it meets its neighbour. */
  readonly reversed: boolean
}

/** A same-sign stretch of bend. `[from, to)` along the road; turn-in is `from`. */
export interface CornerFeature {
  readonly kind: 'corner'
  readonly side: 'left' | 'right'
  readonly from: Metres
  readonly to: Metres
  /** Radius of the plateau, > 0. */
  readonly radius: Metres
  /** Turning, > 0. */
  readonly angle: Radians
}

export interface CrestFeature {
  readonly kind: 'crest'
  readonly from: Metres
  readonly to: Metres
  /** Station of greatest vertical curvature. */
  readonly at: Metres
  /** Radius of the vertical curve, > 0. */
  readonly radius: Metres
  /** True where notes, not heights, put it there. */
  readonly drawn: boolean
}

export type RoadFeature = CornerFeature | CrestFeature

/**
 * The road on stations 0, step, 2·step … : arrays of one length n+1, the last station within one step of `length`.
 * κ left positive; grade = sin of slope angle, uphill positive; vertical curvature crest negative.
 */
export interface Route {
  readonly length: Metres
  readonly step: Metres
  readonly closed: boolean
  readonly x: Float64Array
  readonly y: Float64Array
  readonly z: Float64Array
  readonly heading: Float64Array
  readonly curvature: Float64Array
  readonly grade: Float64Array
  readonly verticalCurvature: Float64Array
  readonly width?: Float64Array
  /** Banking across the road, > 0 where the right side is lower; only where the file says it. */
  readonly bank?: Float64Array
  /** Corners and crests by middle station. */
  readonly features: readonly RoadFeature[]
  readonly losses: Losses
  /** 'measured' from a log, 'line' from a drawn or designed line, 'notes' drawn from the notes alone. */
  readonly source: 'measured' | 'line' | 'notes'
  /** Noise found in positions (σ, metres) and what it leaves in curvature (r.m.s.); null where not known. */
  readonly noise: {
    readonly position: Metres | null
    readonly curvature: PerMetre | null
  }
  /** Where (0, 0) of the plane is, for writing geographic files again. */
  readonly origin: {
    readonly latitude: number
    readonly longitude: number
  } | null
}
