import type { Call, Notes } from '../notes/notes.ts'
import type { CornerFeature, Route } from '../route/route.ts'
import type { Metres, Radians } from '../units.ts'
import type { Place } from './align.ts'
import { type CallView, callView } from './callView.ts'
import { cutAtDips } from './cutAtDips.ts'
import type { Anchor, UnheldAnchor } from './placement.ts'

/** A hand anchor takes a feature this near, or stands alone. */
const ANCHOR_REACH: Metres = 25
/** What a call with no length of its own takes of road. */
export const POINT: Metres = 1

/** The places calls can be on: start, the road's features (merged corners cut at dips), anchors where the road shows nothing, finish. */
export function placesOf(
  notes: Notes,
  route: Route,
  anchors: readonly Anchor[],
  first: number,
): { places: Place[]; anchors: Map<number, number>; unheld: UnheldAnchor[] } {
  const places = route.features.flatMap((feature): Place[] =>
    feature.kind === 'corner'
      ? cutAtDips(route, feature)
      : [{ from: feature.from, to: feature.to, feature, end: false }],
  )
  const { held, unheld } = hold(notes, route, anchors)
  const fixed: { call: number; place: Place }[] = []
  let before: Metres = 0
  for (const { anchor, call } of held) {
    const last = fixed.at(-1)
    const shared = last ? shareOf(last.place, anchor, callView(call).kind) : null
    if (last && shared) {
      places.splice(places.indexOf(last.place), 1, shared.first, shared.second)
      last.place = shared.first
    }
    const place = shared?.second ?? placeOf(places, last?.place ?? null, before, anchor, callView(call).kind, route)
    if (!places.includes(place)) places.push(place)
    fixed.push({ call: call.index, place })
    before = middle(place)
  }
  places.sort((a, b) => a.from + a.to - b.from - b.to)
  const all: Place[] = [
    { from: 0, to: 0, feature: null, end: true },
    ...places,
    { from: route.length, to: route.length, feature: null, end: true },
  ]
  const map = new Map<number, number>()
  for (const { call, place } of fixed) map.set(call - first + 1, all.indexOf(place))
  return { places: all, anchors: map, unheld }
}

/** Two anchors in one corner of the road: each takes its share. */
function shareOf(last: Place, { station }: Anchor, kind: CallView['kind']): { first: Place; second: Place } | null {
  const whole = wholeCorner(last)
  if (whole === null || last.feature?.kind !== 'corner' || kind !== 'corner') return null
  if (!(station > last.from + 2 * POINT && station < last.to)) return null
  const cut = Math.min(last.to - POINT, Math.max(last.from + POINT, (middle(last) + station) / 2))
  const part = (nth: number) => ({ whole, nth, of: 2, cut: nth })
  return {
    first: { ...last, to: cut, feature: { ...last.feature, to: cut }, part: part(0) },
    second: { ...last, from: cut, feature: { ...last.feature, from: cut }, part: part(1) },
  }
}

/** The feature an anchor means: the nearest of its kind after the anchor before, or a place of its own. */
function placeOf(
  places: readonly Place[],
  last: Place | null,
  before: Metres,
  { station }: Anchor,
  kind: CallView['kind'],
  route: Route,
): Place {
  let found: Place | null = null
  for (const place of places) {
    if (place.feature?.kind !== kind || place === last || middle(place) <= before) continue
    if (away(place, station) < (found === null ? ANCHOR_REACH : away(found, station))) found = place
  }
  if (found) return found
  const at = Math.min(route.length - POINT, Math.max(station, before + POINT))
  return { from: at, to: at + POINT, feature: null, end: false }
}

const middle = (place: Place): Metres => (place.from + place.to) / 2

/** Anchors that can all hold together: the newest is kept, older ones that cross a newer are not, and each of those is said. */
function hold(notes: Notes, route: Route, anchors: readonly Anchor[]) {
  const held: { anchor: Anchor; call: Call }[] = []
  const unheld: UnheldAnchor[] = []
  for (const anchor of [...anchors].reverse()) {
    const call = callOf(notes, anchor)
    if (call === null) unheld.push({ anchor, reason: 'call-gone' })
    else if (!(anchor.station >= 0 && anchor.station <= route.length)) unheld.push({ anchor, reason: 'off-road' })
    else if (held.some((one) => crosses(one.call.index, one.anchor.station, call.index, anchor.station)))
      unheld.push({ anchor, reason: 'crosses' })
    else held.push({ anchor, call })
  }
  return { held: held.sort((a, b) => a.call.index - b.call.index), unheld: unheld.reverse() }
}

const crosses = (a: number, at: Metres, b: number, to: Metres): boolean => a === b || (a < b ? at >= to : to >= at)

/** An anchor follows its call when notes are edited: by its text, nearest to where it was. */
function callOf(notes: Notes, anchor: Anchor): Call | null {
  let best: Call | null = null
  for (const call of notes.calls)
    if (
      call.text === anchor.text &&
      (best === null || Math.abs(call.index - anchor.call) < Math.abs(best.index - anchor.call))
    )
      best = call
  return best
}

const away = (place: Place, station: Metres) => Math.max(0, place.from - station, station - place.to)

/** The whole corner a place is of, or is a part of. */
export const wholeCorner = (place: Place): CornerFeature | null =>
  place.part?.whole ?? (place.feature?.kind === 'corner' ? place.feature : null)

/** The corners of neighbouring places, every one that lies here in all its parts whole again, and ln of the chance that no cut in those was real. */
export function joinParts(places: readonly Place[]): { corners: CornerFeature[]; uncut: number } {
  const corners: CornerFeature[] = []
  let uncut = 0
  for (let p = 0; p < places.length; p++) {
    const { part, feature } = places[p]!
    if (part?.nth === 0 && places[p + part.of - 1]?.part?.whole === part.whole) {
      corners.push(part.whole)
      for (let k = 1; k < part.of; k++) uncut += Math.log(1 - places[p + k]!.part!.cut)
      p += part.of - 1
    } else if (feature?.kind === 'corner') corners.push(feature)
  }
  return { corners, uncut }
}

/** Corners, one at least, taken as one: all their turning, and their radius weighted by it. */
export function asOne(corners: readonly CornerFeature[]): { readonly radius: Metres; readonly angle: Radians } {
  const angle = corners.reduce((sum, corner) => sum + corner.angle, 0)
  return { radius: corners.reduce((sum, corner) => sum + corner.radius * corner.angle, 0) / angle, angle }
}
