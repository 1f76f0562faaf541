import type { CornerFeature, Route } from '../route/route.ts'
import type { Metres, PerMetre } from '../units.ts'
import type { Place } from './align.ts'
import type { CallView } from './callView.ts'
import type { PlacedPart } from './placement.ts'
import { joinParts } from './places.ts'

/** A corner of which neither road nor notes tell the radius. */
const UNKNOWN: Metres = 100
/** Two levels of curvature that differ by less than this share are one, whatever the call says. */
const CHANGES = 1.15
/** Each level takes at least so much road. */
const SHORTEST_PART: Metres = 8

/**
 * The parts of a placed call, in road order: the corner, and its tightened or opened rest from where its curvature changes (docs/method/placement.md);
 * half way, where the road shows no change.
 */
export function callParts(
  call: CallView,
  span: { readonly from: Metres; readonly to: Metres },
  places: readonly Place[],
  route: Route,
): PlacedPart[] {
  const corners = cornersOf(call, places)
  if (corners.length > 1)
    return corners.map((corner, k) => ({
      from: k === 0 ? span.from : Math.max(span.from, corner.from),
      to: k === corners.length - 1 ? span.to : corner.to,
      radius: corner.radius,
      element: k === corners.length - 1 ? (call.change?.element ?? null) : null,
    }))
  const radius = corners[0]?.radius ?? call.grade?.radius ?? UNKNOWN
  const whole = { from: span.from, to: Math.max(span.to, span.from), radius, element: null }
  if (call.change === null || corners.length === 0 || span.to - span.from < 4) return [whole]
  const change = changeIn(route, span, call.change.sense)
  if (change === null) {
    const half = (span.from + span.to) / 2
    return [
      { ...whole, to: half },
      { ...whole, from: half, element: call.change.element },
    ]
  }
  return [
    { ...whole, to: change.at, radius: change.before },
    { ...whole, from: change.at, radius: change.after, element: call.change.element },
  ]
}

/** The parts of one cut corner are that corner again, unless the call says that it changes and there is nothing else that it could change to. */
function cornersOf(call: CallView, places: readonly Place[]): CornerFeature[] {
  const wholes = new Set(places.map((place) => place.part?.whole ?? place))
  if (call.change !== null && wholes.size === 1)
    return places.map((place) => place.feature).filter((one): one is CornerFeature => one?.kind === 'corner')
  return joinParts(places).corners
}

/** Where two levels of curvature fit the middle of a corner best, if they differ in the sense that is called. */
function changeIn(
  route: Route,
  span: { readonly from: Metres; readonly to: Metres },
  sense: 'tightens' | 'opens',
): { at: Metres; before: Metres; after: Metres } | null {
  const from = Math.max(0, Math.ceil(span.from / route.step))
  const to = Math.min(route.curvature.length - 1, Math.floor(span.to / route.step))
  const bend: PerMetre[] = []
  for (let i = from; i <= to; i++) bend.push(Math.abs(route.curvature[i]!))
  const half = Math.max(...bend) / 2
  let a = 0
  let b = bend.length
  while (a < b && bend[a]! < half) a++
  while (b > a && bend[b - 1]! < half) b--
  const least = Math.ceil(SHORTEST_PART / route.step)
  let best: { at: Metres; before: Metres; after: Metres } | null = null
  let gain = 0
  const total = bend.slice(a, b).reduce((sum, k) => sum + k, 0)
  let sum = 0
  for (let i = a; i < b; i++) {
    const n = i - a
    const m = b - i
    if (n >= least && m >= least) {
      const before = sum / n
      const after = (total - sum) / m
      const ratio = sense === 'tightens' ? after / before : before / after
      const better = ((n * m) / (n + m)) * (before - after) ** 2
      if (ratio >= CHANGES && better > gain) {
        gain = better
        best = { at: (from + i) * route.step, before: 1 / before, after: 1 / after }
      }
    }
    sum += bend[i]!
  }
  return best
}
