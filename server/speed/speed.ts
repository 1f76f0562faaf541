import type { Kilograms, Metres, MetresPerSecond, PerMetre, Seconds, Watts } from '../units.ts'

/** A generic car with crew aboard. */
export interface Car {
  readonly id: string
  readonly name: string
  readonly mass: Kilograms
  /** At the wheels. */
  readonly power: Watts
  /** Weight on driven wheels, 0…1. */
  readonly share: number
  /** Drag area Cd·A, m². */
  readonly dragArea: number
  readonly topSpeed: MetresPerSecond
  readonly source: string
}

export interface Surface {
  readonly id: string
  readonly name: string
  /** Coefficient of friction μ. */
  readonly grip: number
  /** Rolling resistance coefficient. */
  readonly rolling: number
  readonly source: string
}

/** Road on cells: n values each; cell i is [i·step, (i+1)·step). Curvature left positive, crest negative. */
export interface RoadCells {
  readonly step: Metres
  readonly curvature: Float64Array
  /** sin of slope angle, uphill positive. */
  readonly slope: Float64Array
  readonly vertical: Float64Array
  /** Greatest v² a crew allows itself in each cell (limitedCells); absent is no limit. */
  readonly cap?: Float64Array
}

/** Node arrays have n+1 values, node i at station i·step. */
export interface SpeedProfile {
  readonly step: Metres
  readonly speed: Float64Array
  /** Stage time at each node; time[0] = 0. */
  readonly time: Float64Array
  /** Squared speeds: the road's limit, and the greatest from which everything ahead can still be braked for. */
  readonly limitSquared: Float64Array
  readonly brakingSquared: Float64Array
  readonly commitment: number
  readonly duration: Seconds
  readonly averageSpeed: MetresPerSecond
}

export type Target =
  | { readonly kind: 'average'; readonly speed: MetresPerSecond }
  | { readonly kind: 'time'; readonly time: Seconds }
  | { readonly kind: 'commitment'; readonly commitment: number }

export type CurvatureBound = PerMetre
