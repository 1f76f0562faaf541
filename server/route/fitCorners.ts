import type { Metres, MetresPerSecond } from '../units.ts'
import { type CornerShape, shapeEnd, turnOf } from './cornerShape.ts'
import { CornerWindow, type WindowFit } from './cornerWindow.ts'
import { drivenPace } from './drivenPace.ts'
import type { Fixes } from './fixes.ts'
import { pointAt, type RibbonLine } from './ribbon.ts'
import type { CornerFeature } from './route.ts'
import type { BesideCurve, LogNoise } from './wanderWhitening.ts'

/** Fixes nearer along the road than this are taken together. */
const CLOSE: Metres = 4
/** Road looked at beyond a corner; neighbours that reach into it are fitted with it, and road looked at beyond those. */
const BEYOND: Metres = 60
const OUTSIDE: Metres = 40
/** Fewer data in a window say nothing of a corner; more (a bend of some 300 m) take longer than they are worth, for its curvature is known. */
const FEWEST = 10
const MOST = 110
/** A drawn line wanders from the road as it goes, as if driven along at this pace. */
const PACE: MetresPerSecond = 10
/** Shapes are first looked for with no less noise than this: with too little they do not find their way from the first guess. */
const ROUGH: Metres = 0.2
/** Windows the noise is found on, and what one that cannot be fitted counts against a noise. */
const SAMPLED = 10
const UNFIT = 1000
/** Two levels are tried in arcs this long. */
const SPLIT_LENGTH: Metres = 24
/** −2 ln of the odds at which a change of radius is believed, and the least ratio of the radii worth a word. */
const SPLIT_GAIN = 2.6
const SPLIT_RATIO = 1.42
/** A second radius whose first step leaves the cost this much above that of one is not looked for further. */
const HOPELESS = 2
/** A corner that turns less is held against none. */
const DROP_TURN = 0.4
/** A corner whose fixes lie this much worse than the noise (Σ e² a datum) has another shape. */
const MISFIT = 2.2

/** What one corner of the road turned out to be: its shape, or null where none of this kind fits; undefined where there is no corner after all. */
export type FittedCorner = CornerShape | null | undefined

/**
 * Corners refitted to the fixes themselves as ramp, arc and ramp, each with its neighbours, by Gauss–Newton with the noise of this log (white and wander, found by
 * marginal likelihood on some windows); one radius or two, or none, by their marginal likelihoods. `parts`: what each
 * corner falls into where the curve's own curvature changes level, a first guess only. One answer for each corner given.
 */
export function fitCorners(
  road: RibbonLine,
  stations: Float64Array,
  fixes: Fixes,
  position: Metres,
  corners: readonly CornerFeature[],
  parts: readonly (readonly CornerFeature[])[],
): FittedCorner[] {
  const beside = besideCurve(road, stations, fixes)
  const begun = corners.map(firstGuess)
  const noise = noiseOf(road, beside, begun, position)
  const pace = fixes.t === null ? null : drivenPace(beside, road.length, corners, noise.white)
  const out: FittedCorner[] = []
  for (let i = 0; i < begun.length; i++) {
    const around = windowOf(beside, begun, i)
    if (around === null) {
      out.push(null)
      continue
    }
    try {
      const within = (assumed: LogNoise) =>
        new CornerWindow(road.curvature, beside, around.first, around.last, assumed, pace)
      const first = begun.slice(around.from, around.to)
      const near = noise.white < ROUGH ? within({ white: ROUGH, wander: (ROUGH / 2) ** 2 }).fit(first).shapes : first
      out.push(fitOne(within(noise), around.own - around.from, first, near, parts[i]!))
    } catch (error) {
      if (!(error instanceof RangeError)) throw error
      out.push(null)
    }
  }
  return out
}

interface Around {
  readonly first: number
  readonly last: number
  /** Shapes in the window, and which of them is the corner asked for. */
  readonly from: number
  readonly to: number
  readonly own: number
}

function fitOne(
  window: CornerWindow,
  own: number,
  begun: readonly CornerShape[],
  near: readonly CornerShape[],
  parts: readonly CornerFeature[],
): FittedCorner {
  const one = window.fit(begun, near)
  let best = one
  const shape = one.shapes[own]!
  if (turnOf(shape) < DROP_TURN) {
    const none = window.fit(one.shapes.filter((_, k) => k !== own))
    if (one.cost > none.cost) return undefined
  }
  if (shape.lengths[1]! > SPLIT_LENGTH) {
    for (const guess of [twoLevels(shape, 0.2), twoLevels(shape, -0.2), asParts(shape, parts)]) {
      const two = guess === null ? null : fitTwo(window, one, own, guess)
      if (two === null) continue
      const ratio = two.shapes[own]!.levels[1]! / two.shapes[own]!.levels[0]!
      if (two.cost < best.cost - (best === one ? SPLIT_GAIN : 0) && Math.max(ratio, 1 / ratio) > SPLIT_RATIO) best = two
    }
  }
  return best.misfit > MISFIT * best.data ? null : best.shapes[own]!
}

/** The shape with its arc in two, ln of their levels `part` above and below its own. */
function twoLevels(shape: CornerShape, part: number): CornerShape {
  const ramp = Math.min(10, shape.lengths[1]! / 4)
  const arc = (shape.lengths[1]! - ramp) / 2
  return {
    from: shape.from,
    lengths: [shape.lengths[0]!, arc, ramp, arc, shape.lengths[2]!],
    levels: [shape.levels[0]! * Math.exp(part), shape.levels[0]! * Math.exp(-part)],
  }
}

/** The shape with its arc in two where the curve's own curvature changes, if it does just once. */
function asParts(shape: CornerShape, parts: readonly CornerFeature[]): CornerShape | null {
  if (parts.length !== 2) return null
  const begins = shape.from + shape.lengths[0]!
  const cut = (parts[0]!.to - begins) / shape.lengths[1]!
  if (!(cut > 0.1 && cut < 0.9)) return null
  const ramp = Math.min(10, shape.lengths[1]! / 5)
  const side = Math.sign(shape.levels[0]!)
  return {
    from: shape.from,
    lengths: [
      shape.lengths[0]!,
      Math.max(2, cut * shape.lengths[1]! - ramp / 2),
      ramp,
      Math.max(2, (1 - cut) * shape.lengths[1]! - ramp / 2),
      shape.lengths[2]!,
    ],
    levels: [side / parts[0]!.radius, side / parts[1]!.radius],
  }
}

function fitTwo(window: CornerWindow, one: WindowFit, own: number, guess: CornerShape): WindowFit | null {
  const shapes = one.shapes.map((other, k) => (k === own ? guess : other))
  try {
    // One step from here tells already whether a second level is worth looking for.
    return window.fit(shapes, shapes, 0).cost > one.cost + HOPELESS ? null : window.fit(shapes)
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
    return null
  }
}

/** A corner of the curve's own as a shape: a third of the radius for ramps, within what it turns. */
function firstGuess(corner: CornerFeature): CornerShape {
  const level = (corner.side === 'left' ? 1 : -1) / corner.radius
  const whole = corner.angle * corner.radius
  const ramp = Math.min(corner.radius / 3, 0.45 * whole, 20)
  const middle = (corner.from + corner.to) / 2
  return {
    from: middle - (whole + ramp) / 2,
    lengths: [ramp, Math.max(2, whole - ramp), ramp],
    levels: [level],
  }
}

function windowOf(beside: BesideCurve, shapes: readonly CornerShape[], own: number): Around | null {
  const before = shapes[own - 1]
  const after = shapes[own + 1]
  const shape = shapes[own]!
  const begins = shape.from - BEYOND
  const ends = shapeEnd(shape) + BEYOND
  const from = before && shapeEnd(before) > begins ? own - 1 : own
  const to = after && after.from < ends ? own + 2 : own + 1
  const left =
    from < own ? Math.max(shapes[from - 1] ? shapeEnd(shapes[from - 1]!) : 0, before!.from - OUTSIDE) : begins
  const right =
    to > own + 1 ? Math.min(shapes[to] ? shapes[to]!.from : Number.POSITIVE_INFINITY, shapeEnd(after!) + OUTSIDE) : ends
  const first = lowerBound(beside.station, left)
  const last = lowerBound(beside.station, right)
  return last - first < FEWEST || last - first > MOST ? null : { first, last, from, to, own }
}

function lowerBound(values: Float64Array, at: number): number {
  let low = 0
  let high = values.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (values[middle]! < at) low = middle + 1
    else high = middle
  }
  return low
}

function besideCurve(road: RibbonLine, stations: Float64Array, fixes: Fixes): BesideCurve {
  const rows: number[][] = []
  for (let i = 0; i < stations.length; ) {
    const begin = stations[i]!
    let [station, across, time, count] = [0, 0, 0, 0]
    for (; i < stations.length && (count === 0 || stations[i]! < begin + CLOSE); i++) {
      const point = pointAt(road, stations[i]!)
      station += stations[i]!
      across += (fixes.y[i]! - point.y) * Math.cos(point.heading) - (fixes.x[i]! - point.x) * Math.sin(point.heading)
      time += fixes.t === null ? stations[i]! / PACE : fixes.t[i]!
      count++
    }
    rows.push([station / count, across / count, time / count, count])
  }
  const column = (k: number) => Float64Array.from(rows, (row) => row[k]!)
  const headings = rows.map((row) => pointAt(road, row[0]!).heading)
  return {
    station: column(0),
    across: column(1),
    time: column(2),
    count: column(3),
    normalX: Float64Array.from(headings, (heading) => -Math.sin(heading)),
    normalY: Float64Array.from(headings, Math.cos),
  }
}

/** White noise and wander of the log: the pair of least cost on windows spread over it, by steps of a factor from the fit's own noise. */
function noiseOf(road: RibbonLine, beside: BesideCurve, shapes: readonly CornerShape[], position: Metres): LogNoise {
  const every = Math.max(1, Math.floor(shapes.length / SAMPLED))
  const sample = shapes.flatMap((_, i) => {
    const around = i % every === every >> 1 ? windowOf(beside, shapes, i) : null
    return around === null
      ? []
      : [{ around, now: shapes.slice(around.from, around.to), begun: shapes.slice(around.from, around.to) }]
  })
  const cost = (noise: LogNoise, rounds: number): number => {
    let sum = 0
    for (const one of sample) {
      try {
        const window = new CornerWindow(road.curvature, beside, one.around.first, one.around.last, noise, null)
        const fit = window.fit(one.begun, one.now, rounds)
        if (rounds > 1) one.now = [...fit.shapes]
        sum += fit.cost
      } catch (error) {
        if (!(error instanceof RangeError)) throw error
        sum += UNFIT
      }
    }
    return sum
  }
  const white = Math.max(ROUGH, position)
  let best: LogNoise = { white, wander: (white / 2) ** 2 }
  let least = cost(best, 5)
  for (const factor of [3, 1.7]) {
    let moves = 0
    for (let better = true; better && moves < 12; moves++) {
      better = false
      for (const [a, b] of [
        [1, factor ** 2],
        [1, factor ** -2],
        [factor, 1],
        [1 / factor, 1],
      ] as const) {
        const tried = { white: best.white * a, wander: best.wander * b }
        const at = cost(tried, 1)
        if (at < least) {
          best = tried
          least = Math.min(at, cost(best, 2))
          better = true
          break
        }
      }
    }
  }
  return best
}
