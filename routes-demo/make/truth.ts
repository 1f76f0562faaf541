import type { Metres, PerMetre, Radians } from '../../server/units.ts'

/** A corner of the invented road, as it truly is. */
export interface TrueCorner {
  readonly side: 'left' | 'right'
  readonly radius: Metres
  readonly angle: Radians
  /** Radius after half of the turning, where the corner tightens or opens. */
  readonly second?: Metres
  /** Straight before it. */
  readonly before: Metres
  /** Crest over the road, at this share of the corner (or of the straight, when negative), and its vertical radius. */
  readonly crest?: { readonly at: number; readonly radius: Metres }
}

/** A road known exactly: stations every `step` metres. */
export interface TrueRoad {
  readonly step: Metres
  readonly length: Metres
  readonly x: Float64Array
  readonly y: Float64Array
  readonly z: Float64Array
  readonly curvature: Float64Array
}

const STEP: Metres = 0.5
/** Clothoid length at each end of a corner: the shorter of 20 m and 0.3 of its arc, as roads are built (docs/method/placement.md). */
const ramp = (arc: Metres) => Math.min(20, 0.3 * arc)
/** A crest's vertical curve, metres of road. */
const CREST_LENGTH: Metres = 36

/**
 * Lays corners and straights one after another: straight, clothoid in, arc (two arcs where it changes), clothoid out.
 * Turning of the whole corner is `angle`; heading and position by the midpoint rule on 0.5 m cells, exact to 1 mm over 10 km.
 * `rolling` gives the height of the land without crests, metres at a station.
 */
export function layRoad(
  corners: readonly TrueCorner[],
  runOut: Metres,
  rolling: (station: Metres) => Metres,
): TrueRoad {
  const curvature: PerMetre[] = []
  const crests: { at: Metres; radius: Metres }[] = []
  for (const corner of corners) {
    const start = curvature.length * STEP
    for (let s = 0; s < corner.before; s += STEP) curvature.push(0)
    const entry = curvature.length * STEP
    for (const k of cornerCurvature(corner)) curvature.push(k)
    const exit = curvature.length * STEP
    if (corner.crest) {
      const { at, radius } = corner.crest
      crests.push({ at: at < 0 ? entry + at * (entry - start) : entry + at * (exit - entry), radius })
    }
  }
  for (let s = 0; s < runOut; s += STEP) curvature.push(0)
  return integrate(curvature, crests, rolling)
}

function cornerCurvature(corner: TrueCorner): PerMetre[] {
  const sign = corner.side === 'left' ? 1 : -1
  const k1 = 1 / corner.radius
  const k2 = 1 / (corner.second ?? corner.radius)
  const usual = ramp(corner.angle / ((k1 + k2) / 2))
  // Ramps turn half their length times the curvature; what is left is shared by the two arcs.
  const arcs = corner.angle - (usual * (k1 + k2)) / 2
  const lengths = [usual, arcs / 2 / k1, arcs / 2 / k2, usual] as const
  const total = lengths.reduce((a, b) => a + b, 0)
  const values: PerMetre[] = []
  for (let s = STEP / 2; s < total; s += STEP) {
    const [a, b, c, d] = lengths
    if (s < a) values.push((sign * k1 * s) / a)
    else if (s < a + b) values.push(sign * k1)
    else if (s < a + b + c) values.push(sign * k2)
    else values.push(sign * k2 * (1 - (s - a - b - c) / d))
  }
  return values
}

function integrate(
  curvature: readonly PerMetre[],
  crests: readonly { at: Metres; radius: Metres }[],
  rolling: (station: Metres) => Metres,
): TrueRoad {
  const n = curvature.length
  const x = new Float64Array(n + 1)
  const y = new Float64Array(n + 1)
  const z = new Float64Array(n + 1)
  let heading = 0
  for (let i = 0; i < n; i++) {
    const middle = heading + (curvature[i]! * STEP) / 2
    x[i + 1] = x[i]! + STEP * Math.cos(middle)
    y[i + 1] = y[i]! + STEP * Math.sin(middle)
    heading += curvature[i]! * STEP
  }
  for (let i = 0; i <= n; i++)
    z[i] = rolling(i * STEP) + crests.reduce((sum, crest) => sum + crestHeight(i * STEP - crest.at, crest.radius), 0)
  return { step: STEP, length: n * STEP, x, y, z, curvature: Float64Array.from(curvature) }
}

/** A bump of one parabola on top (radius as given) and two half as sharp at its feet; height 0 and level beyond. */
function crestHeight(from: Metres, radius: Metres): Metres {
  const half = CREST_LENGTH / 2
  const d = Math.abs(from)
  const slope = half / radius
  const top = (half * half) / (2 * radius)
  const foot = 2 * half
  if (d < half) return top + (slope * foot) / 2 - (d * d) / (2 * radius)
  if (d < half + foot) return (slope * (half + foot - d) ** 2) / (2 * foot)
  return 0
}
