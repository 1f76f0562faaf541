import type { CornerFeature, Route } from '../route/route.ts'
import type { Metres, Radians } from '../units.ts'
import type { Place } from './align.ts'
import { sig } from './likelihood.ts'

/** A dip of curvature to this share of the lesser peak beside it is two corners as likely as one. */
const EVEN = 0.68
const WIDTH = 0.07
/** In wider bends than this noise alone makes dips: there they part nothing (ln width beside). */
const WAVERS: Metres = 60
const WAVERS_WIDTH = 0.15
/** Shallower dips are noise. */
const SHALLOW = 0.85
/** Each part turns at least so much and takes so much road. */
const LEAST_TURN: Radians = 0.18
const LEAST_LENGTH: Metres = 8
const MOST_PARTS = 3
/** A cut is never certain, nor surely none. */
const CERTAIN = 0.97

/**
 * A corner as places: itself, or, where its curvature dips on the way, its parts with the chance that each cut parts two corners.
 * The road's own corners stay as they are; only placement may take a part, since only the notes can tell two close corners from one uneven one.
 */
export function cutAtDips(route: Route, corner: CornerFeature): Place[] {
  const whole: Place = { from: corner.from, to: corner.to, feature: corner, end: false }
  const from = Math.max(0, Math.ceil(corner.from / route.step))
  const to = Math.min(route.curvature.length - 1, Math.floor(corner.to / route.step))
  const cuts = deepest(route, from, to, MOST_PARTS - 1)
  if (cuts.length === 0) return [whole]
  const ends = [from, ...cuts.map((cut) => cut.at), to]
  return ends.slice(1).map((end, nth): Place => {
    const part = partCorner(route, corner, ends[nth]!, end)
    return {
      from: nth === 0 ? corner.from : part.from,
      to: nth === cuts.length ? corner.to : part.to,
      feature: part,
      end: false,
      part: { whole: corner, nth, of: cuts.length + 1, cut: nth === 0 ? 0 : cuts[nth - 1]!.chance },
    }
  })
}

interface Cut {
  readonly at: number
  readonly chance: number
}

/** The deepest dip, then the deepest of what is left on each side of it, in road order. */
function deepest(route: Route, from: number, to: number, most: number): Cut[] {
  if (most <= 0 || to - from < 4) return []
  const n = to - from + 1
  const left = new Float64Array(n)
  const right = new Float64Array(n)
  const turned = new Float64Array(n)
  for (let i = 0; i < n; i++) {
    const bend = Math.abs(route.curvature[from + i]!)
    left[i] = Math.max(left[i - 1] ?? 0, bend)
    turned[i] = (turned[i - 1] ?? 0) + bend * route.step
  }
  for (let i = n - 1; i >= 0; i--) right[i] = Math.max(right[i + 1] ?? 0, Math.abs(route.curvature[from + i]!))
  let at = -1
  let share = SHALLOW
  for (let i = 1; i + 1 < n; i++) {
    if (turned[i]! < LEAST_TURN || turned[n - 1]! - turned[i]! < LEAST_TURN) continue
    if (i * route.step < LEAST_LENGTH || (n - 1 - i) * route.step < LEAST_LENGTH) continue
    const depth = Math.abs(route.curvature[from + i]!) / Math.min(left[i]!, right[i]!)
    if (depth < share) {
      share = depth
      at = from + i
    }
  }
  if (at < 0) return []
  const bend = Math.min(left[at - from]!, right[at - from]!)
  const told = sig((Math.log(bend) + Math.log(WAVERS)) / WAVERS_WIDTH)
  const chance = Math.min(CERTAIN, Math.max(1 - CERTAIN, told * sig((EVEN - share) / WIDTH)))
  const before = deepest(route, from, at, most - 1)
  const after = deepest(route, at, to, most - 1 - before.length)
  return [...before, { at, chance }, ...after]
}

/** Radius where the part bends most, and the turning between its cuts. */
function partCorner(route: Route, whole: CornerFeature, from: number, to: number): CornerFeature {
  let peak = 0
  let angle = 0
  for (let i = from; i < to; i++) {
    const bend = Math.abs(route.curvature[i]!)
    peak = Math.max(peak, bend)
    angle += bend * route.step
  }
  let sum = 0
  let count = 0
  for (let i = from; i <= to; i++) {
    const bend = Math.abs(route.curvature[i]!)
    if (bend < 0.8 * peak) continue
    sum += bend
    count++
  }
  return { kind: 'corner', side: whole.side, from: from * route.step, to: to * route.step, radius: count / sum, angle }
}
