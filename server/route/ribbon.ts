import { type NaturalSpline, naturalSpline, splineAt, splineSlope } from '../numeric/naturalSpline.ts'
import { wrapAngle } from '../numeric/wrapAngle.ts'
import type { Metres, Radians } from '../units.ts'

export interface RibbonLine {
  readonly step: Metres
  readonly length: Metres
  readonly x: Float64Array
  readonly y: Float64Array
  readonly heading: Float64Array
  readonly curvature: Float64Array
  /** Arc length at each node given. */
  readonly nodeStations: Float64Array
  /** Places whose curvature was held to the least radius. */
  readonly blunted: number
}

/** Least radius a road car can be driven round; sharper is noise or a drawn kink (docs/method/route.md). */
const LEAST_RADIUS: Metres = 4
const CORRECTIONS = 2
/** Three-point Gauss on [0, 1]. */
const GAUSS = [
  [0.5 - Math.sqrt(0.15), 5 / 18],
  [0.5, 8 / 18],
  [0.5 + Math.sqrt(0.15), 5 / 18],
] as const

/**
 * A C2 cubic spline through nodes over its own arc length (chords first, then two corrections by Gauss), read at whole metres 0, 1 … :
 * position, heading = atan2(y′, x′), κ = (x′y″ − y′x″)/|p′|³. Positions, heading and curvature all come of one curve; none by integrating another.
 * Nodes: ≥ 2, distinct. The last metre short of a whole one is left out of the stations, so length is a whole number of metres.
 */
export function ribbon(nodeX: ArrayLike<number>, nodeY: ArrayLike<number>): RibbonLine {
  return read(nodeX, nodeY, null)
}

/** The same curve read end to end at even steps of about `step`, no last piece left out. */
export function evenRibbon(nodeX: ArrayLike<number>, nodeY: ArrayLike<number>, step: Metres): RibbonLine {
  return read(nodeX, nodeY, step)
}

function read(nodeX: ArrayLike<number>, nodeY: ArrayLike<number>, even: Metres | null): RibbonLine {
  const n = nodeX.length
  let s = new Float64Array(n)
  for (let i = 1; i < n; i++)
    s[i] = s[i - 1]! + Math.max(1e-6, Math.hypot(nodeX[i]! - nodeX[i - 1]!, nodeY[i]! - nodeY[i - 1]!))
  let sx = naturalSpline(s, nodeX)
  let sy = naturalSpline(s, nodeY)
  for (let round = 0; round < CORRECTIONS; round++) {
    s = arcLengths(sx, sy)
    sx = naturalSpline(s, nodeX)
    sy = naturalSpline(s, nodeY)
  }
  const stations = Math.max(1, even === null ? Math.floor(s[n - 1]! + 1e-9) : Math.round(s[n - 1]! / even))
  const step = even === null ? 1 : s[n - 1]! / stations
  const out = {
    step,
    length: stations * step,
    x: new Float64Array(stations + 1),
    y: new Float64Array(stations + 1),
    heading: new Float64Array(stations + 1),
    curvature: new Float64Array(stations + 1),
    nodeStations: s,
  }
  let cell = 0
  let blunted = 0
  for (let m = 0; m <= stations; m++) {
    const at = Math.min(m * step, s[n - 1]!)
    while (cell < n - 2 && s[cell + 1]! < at) cell++
    const px = splineAt(sx, cell, at)
    const py = splineAt(sy, cell, at)
    const speed = Math.sqrt(px.first * px.first + py.first * py.first)
    out.x[m] = px.value
    out.y[m] = py.value
    out.heading[m] = Math.atan2(py.first, px.first)
    const k = (px.first * py.second - py.first * px.second) / Math.max(1e-9, speed * speed * speed)
    if (Math.abs(k) > 1 / LEAST_RADIUS && !(Math.abs(out.curvature[m - 1] ?? 0) >= 1 / LEAST_RADIUS)) blunted++
    out.curvature[m] = Math.max(-1 / LEAST_RADIUS, Math.min(1 / LEAST_RADIUS, k))
  }
  return { ...out, blunted }
}

function arcLengths(sx: NaturalSpline, sy: NaturalSpline): Float64Array<ArrayBuffer> {
  const n = sx.knots.length
  const s = new Float64Array(n)
  for (let i = 0; i + 1 < n; i++) {
    const from = sx.knots[i]!
    const h = sx.knots[i + 1]! - from
    let length = 0
    for (let g = 0; g < GAUSS.length; g++) {
      const at = from + GAUSS[g]![0] * h
      const dx = splineSlope(sx, i, at)
      const dy = splineSlope(sy, i, at)
      length += GAUSS[g]![1] * Math.sqrt(dx * dx + dy * dy)
    }
    s[i + 1] = s[i]! + Math.max(1e-6, length * h)
  }
  return s
}

/** Where a road is at a station between whole metres, and its heading there. */
export function pointAt(road: RibbonLine, station: Metres): { x: Metres; y: Metres; heading: Radians } {
  const j = Math.max(0, Math.min(road.x.length - 2, Math.floor(station)))
  const part = station - j
  const heading = road.heading[j]! + part * wrapAngle(road.heading[j + 1]! - road.heading[j]!)
  // The chord's sagitta, κ/2 · part(1 − part), to the right of a left-hand bend.
  const bulge = (road.curvature[j]! / 2) * part * (1 - part)
  return {
    x: road.x[j]! + part * (road.x[j + 1]! - road.x[j]!) + bulge * Math.sin(heading),
    y: road.y[j]! + part * (road.y[j + 1]! - road.y[j]!) - bulge * Math.cos(heading),
    heading,
  }
}

/** Station of each fix from where it stands in nodes (`fixNodes` of a fitted line). */
export function fixStations(fixNodes: ArrayLike<number>, nodeStations: Float64Array): Float64Array {
  const last = nodeStations.length - 1
  return Float64Array.from(fixNodes, (at) => {
    const j = Math.max(0, Math.min(last - 1, Math.floor(at)))
    return nodeStations[j]! + (Math.min(last, at) - j) * (nodeStations[j + 1]! - nodeStations[j]!)
  })
}
