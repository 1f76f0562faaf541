/**
 * Quantities and clocks. SI inside, always; a person's value carries its unit and is converted where it enters.
 *
 * Signs: left turns positive, uphill positive, distance grows from the start line, crests have negative vertical curvature.
 */
export type Metres = number
export type Seconds = number
export type MetresPerSecond = number
export type MetresPerSecond2 = number
export type Radians = number
/** Curvature: 1/radius, left positive. */
export type PerMetre = number
export type Kilograms = number
export type Watts = number

declare const clock: unique symbol
/** Seconds since the car left the line. */
export type StageTime = number & { readonly [clock]?: 'stage' }
/** Seconds on the sound card's clock. */
export type AudioTime = number & { readonly [clock]?: 'audio' }
/** Seconds since 1970-01-01T00:00Z. */
export type EpochTime = number & { readonly [clock]?: 'epoch' }

/** `seconds` after `t`, on t's own clock. */
export function later<T extends number>(t: T, seconds: Seconds): T {
  return (t + seconds) as T
}

/** Standard gravity, m/s²: 9.80665 by definition (CGPM 1901). */
export const GRAVITY: MetresPerSecond2 = 9.80665

/** km/h to m/s: exact, 1 km/h = 1/3.6 m/s. */
export const fromKmh = (kmh: number): MetresPerSecond => kmh / 3.6
export const toKmh = (speed: MetresPerSecond): number => speed * 3.6
/** International mile, exact: 1609.344 m. */
export const MILE: Metres = 1609.344
/** International yard, exact: 0.9144 m. */
export const YARD: Metres = 0.9144
/** International foot, exact: 0.3048 m. */
export const FOOT: Metres = 0.3048
export const fromMph = (mph: number): MetresPerSecond => (mph * MILE) / 3600
export const toMph = (speed: MetresPerSecond): number => (speed * 3600) / MILE
