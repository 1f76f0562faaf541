import type { Metres, PerMetre, Radians } from '../units.ts'

export interface CurveStart {
  readonly x: Metres
  readonly y: Metres
  readonly heading: Radians
  readonly length: Metres
}

export interface CurvePoints {
  readonly x: number[]
  readonly y: number[]
}

/** Five-point Gauss on [−1, 1] (Abramowitz & Stegun 25.4.30, from memory; exact to degree 9). */
const NODES = [0, -0.5384693101056831, 0.5384693101056831, -0.906179845938664, 0.906179845938664]
const WEIGHTS = [0.5688888888888889, 0.47862867049936647, 0.47862867049936647, 0.23692688505618908, 0.23692688505618908]
/** Steps of a cubic in which its arc length is added up. */
const FINE: Metres = 0.05

/**
 * A line, arc or spiral: curvature straight from k0 to k1 over the length (ASAM OpenDRIVE 1.8.1, planView), so heading = h + k0 s + (k1 − k0)s²/2L and the
 * position its integral, by Gauss in steps of a metre at most: below a nanometre for radii a road has. `parts` + 1 points, first and last the ends.
 */
export function clothoidPoints(start: CurveStart, k0: PerMetre, k1: PerMetre, parts: number): CurvePoints {
  if (!(start.length > 0)) throw new RangeError(`clothoidPoints: length must be > 0, got ${start.length}`)
  if (!(parts >= 1)) throw new RangeError(`clothoidPoints: parts must be >= 1, got ${parts}`)
  const x = [start.x]
  const y = [start.y]
  const step = start.length / parts
  const within = Math.max(1, Math.ceil(step))
  const small = step / within
  let px = start.x
  let py = start.y
  for (let i = 0; i < parts * within; i++) {
    const middle = (i + 0.5) * small
    for (let g = 0; g < 5; g++) {
      const s = middle + (NODES[g]! * small) / 2
      const heading = start.heading + k0 * s + ((k1 - k0) * s * s) / (2 * start.length)
      px += ((WEIGHTS[g]! * small) / 2) * Math.cos(heading)
      py += ((WEIGHTS[g]! * small) / 2) * Math.sin(heading)
    }
    if ((i + 1) % within === 0) {
      x.push(px)
      y.push(py)
    }
  }
  return { x, y }
}

export type Cubic = readonly [number, number, number, number]

export const cubicAt = (c: Cubic, p: number): number => c[0] + p * (c[1] + p * (c[2] + p * c[3]))

/** A paramPoly3: (u, v) in the frame of its start, p from 0 to `range` (1 when normalized, the length otherwise). */
export function paramCubicPoints(start: CurveStart, u: Cubic, v: Cubic, range: number, parts: number): CurvePoints {
  const out: CurvePoints = { x: [], y: [] }
  for (let i = 0; i <= parts; i++) {
    const p = (range * i) / parts
    placeInPlace(out, start, cubicAt(u, p), cubicAt(v, p))
  }
  return out
}

/** A poly3: v over u in the frame of its start, u from 0 to where the arc is as long as the record says. */
export function cubicPoints(start: CurveStart, v: Cubic, parts: number): CurvePoints {
  const out: CurvePoints = { x: [], y: [] }
  const pieces = parts * Math.max(1, Math.ceil(start.length / parts / FINE))
  const step = start.length / pieces
  let u = 0
  for (let i = 0; i <= pieces; i++) {
    if (i % (pieces / parts) === 0) placeInPlace(out, start, u, cubicAt(v, u))
    // Midpoint rule for du = ds/√(1 + v′²).
    const half = u + step / 2 / Math.hypot(1, slope(v, u))
    u += step / Math.hypot(1, slope(v, half))
  }
  return out
}

const slope = (v: Cubic, u: number): number => v[1] + u * (2 * v[2] + 3 * u * v[3])

function placeInPlace(out: CurvePoints, start: CurveStart, u: Metres, v: Metres): void {
  const c = Math.cos(start.heading)
  const s = Math.sin(start.heading)
  out.x.push(start.x + u * c - v * s)
  out.y.push(start.y + u * s + v * c)
}
