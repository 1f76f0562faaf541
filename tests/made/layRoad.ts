import type { Metres, PerMetre, Radians } from '../../server/units.ts'

/** A corner of a made-up road, as it truly is. */
export interface MadeCorner {
  readonly side: 'left' | 'right'
  readonly radius: Metres
  /** Radius after half of the turning, where the corner tightens or opens. */
  readonly second?: Metres
  readonly angle: Radians
  /** Straight before it. */
  readonly before: Metres
}

export interface MadeCrest {
  readonly at: Metres
  readonly radius: Metres
  readonly length: Metres
}

export interface MadeRoad {
  readonly step: Metres
  readonly length: Metres
  readonly x: Float64Array
  readonly y: Float64Array
  readonly curvature: Float64Array
  /** Where each corner begins and ends. */
  readonly spans: readonly { readonly from: Metres; readonly to: Metres }[]
}

const STEP: Metres = 0.5
/** Clothoid at each end: the shorter of 20 m and 0.3 of the arc (docs/method/placement.md). */
const ramp = (arc: Metres) => Math.min(20, 0.3 * arc)

/** Straight, clothoid, arc (two arcs where it changes), clothoid, one corner after another; midpoint rule on 0.5 m cells. */
export function layCorners(corners: readonly MadeCorner[], runOut: Metres): MadeRoad {
  const curvature: PerMetre[] = []
  const spans = corners.map((corner) => {
    for (let s = 0; s < corner.before; s += STEP) curvature.push(0)
    const from = curvature.length * STEP
    for (const k of cornerCurvature(corner)) curvature.push(k)
    return { from, to: curvature.length * STEP }
  })
  for (let s = 0; s < runOut; s += STEP) curvature.push(0)
  const n = curvature.length
  const x = new Float64Array(n + 1)
  const y = new Float64Array(n + 1)
  let heading = 0
  for (let i = 0; i < n; i++) {
    const middle = heading + (curvature[i]! * STEP) / 2
    x[i + 1] = x[i]! + STEP * Math.cos(middle)
    y[i + 1] = y[i]! + STEP * Math.sin(middle)
    heading += curvature[i]! * STEP
  }
  return { step: STEP, length: n * STEP, x, y, curvature: Float64Array.from(curvature), spans }
}

function cornerCurvature(corner: MadeCorner): PerMetre[] {
  const sign = corner.side === 'left' ? 1 : -1
  const k1 = 1 / corner.radius
  const k2 = 1 / (corner.second ?? corner.radius)
  const edge = ramp((2 * corner.angle) / (k1 + k2))
  const arcs = corner.angle - (edge * (k1 + k2)) / 2
  const a = edge
  const b = a + arcs / 2 / k1
  const c = b + arcs / 2 / k2
  const values: PerMetre[] = []
  for (let s = STEP / 2; s < c + edge; s += STEP)
    values.push(sign * (s < a ? (k1 * s) / a : s < b ? k1 : s < c ? k2 : k2 * (1 - (s - c) / edge)))
  return values
}

/** Height of a crest's bump: a parabola on top (its radius as given), two half as sharp at its feet; level beyond. */
export function crestHeight(from: Metres, crest: MadeCrest): Metres {
  const half = crest.length / 2
  const d = Math.abs(from)
  const slope = half / crest.radius
  const foot = 2 * half
  if (d < half) return (half * half) / (2 * crest.radius) + (slope * foot) / 2 - (d * d) / (2 * crest.radius)
  return d < half + foot ? (slope * (half + foot - d) ** 2) / (2 * foot) : 0
}
