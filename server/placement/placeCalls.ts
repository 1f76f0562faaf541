import type { Call, Notes } from '../notes/notes.ts'
import type { CornerFeature, Route } from '../route/route.ts'
import type { Metres } from '../units.ts'
import { type Alignment, align, type Place } from './align.ts'
import { type CallView, callViews } from './callView.ts'
import { fitGradeScale, startScale } from './gradeScale.ts'
import { layElements } from './layElements.ts'
import type { Scale } from './likelihood.ts'
import type { Anchor, PlacedCall, PlacedPart, Placement } from './placement.ts'

/** A hand anchor takes a feature this near, or stands alone. */
const ANCHOR_REACH: Metres = 25
/** What a call with no length of its own takes of road. */
const POINT: Metres = 1
/** Passes of the scale fit; it stops sooner when nothing moves. */
const FIT_ROUNDS = 3
const SETTLED = 0.03

export interface PlaceOptions {
  readonly anchors?: readonly Anchor[]
  /** Fit the crew's own radius for each grade (default) or keep the table's. */
  readonly fitScale?: boolean
}

/**
 * Which call is where (placement.md): exact alignment of calls to corners and crests, the crew's grade scale fitted on the way, hand anchors
 * hard. A call that no feature shows is laid between its neighbours by the called distances. Confidence is the posterior of the place.
 */
export function placeCalls(notes: Notes, route: Route, options: PlaceOptions = {}): Placement {
  const views = callViews(notes)
  const first = views[0]?.kind === 'start' ? 1 : 0
  const last = views.at(-1)?.kind === 'finish' ? views.length - 1 : views.length
  const END: CallView = { ...emptyView, kind: 'finish' }
  const calls = [
    first === 1 ? views[0]! : { ...emptyView, kind: 'start' as const },
    ...views.slice(first, last),
    views[last] ?? END,
  ]
  const { places, anchors } = placesOf(notes, route, options.anchors ?? [], first)
  let scale = startScale()
  let found = align({ calls, places, anchors, scale, rounding: rounding(calls) })
  if (options.fitScale !== false) {
    for (let round = 0; round < FIT_ROUNDS; round++) {
      const next = fitGradeScale({ calls, places, found, scale })
      const moved = change(scale, next.scale)
      scale = next.scale
      found = align({ calls, places, anchors, scale, rounding: rounding(calls) })
      if (moved < SETTLED) break
    }
  }
  const placed = layCalls({ notes, route, calls, places, found, anchors, first, scale })
  return {
    calls: placed,
    gradeScale: fitGradeScale({ calls, places, found, scale }).rows,
    odometer: scale.odometer,
    evidence: found.evidence,
  }
}

const emptyView: CallView = {
  kind: 'line',
  side: null,
  grade: null,
  long: 0,
  hairpin: false,
  flat: false,
  change: null,
  crest: false,
  usualAngle: 0,
  distance: 0,
  link: null,
}

/** Distances in steps of ten are rounded to ten; otherwise to the unit written. */
function rounding(calls: readonly CallView[]): Metres {
  const said = calls.filter((call) => call.distance > 0)
  return said.every((call) => Math.abs(call.distance / 10 - Math.round(call.distance / 10)) < 1e-6) ? 10 : 9.144
}

function change(a: Scale, b: Scale): number {
  let most = Math.abs(a.odometer - b.odometer)
  for (const [name, mu] of b.mu) most = Math.max(most, Math.abs(mu - (a.mu.get(name) ?? mu)))
  return most
}

function placesOf(notes: Notes, route: Route, anchors: readonly Anchor[], first: number) {
  const places: Place[] = route.features.map((feature) => ({ from: feature.from, to: feature.to, feature, end: false }))
  const fixed: { call: number; place: Place }[] = []
  for (const anchor of anchors) {
    // An anchor follows its call when notes are edited: by its text, nearest to where it was.
    const call = notes.calls
      .filter((one) => one.text === anchor.text)
      .reduce<Call | null>(
        (best, one) =>
          best === null || Math.abs(one.index - anchor.call) < Math.abs(best.index - anchor.call) ? one : best,
        null,
      )
    if (call === null || !(anchor.station >= 0 && anchor.station <= route.length)) continue
    const wanted = callViews({ ...notes, calls: [call] })[0]!.kind
    const near = places.filter(
      (place) =>
        place.feature?.kind === wanted &&
        anchor.station > place.from - ANCHOR_REACH &&
        anchor.station < place.to + ANCHOR_REACH &&
        !fixed.some((one) => one.place === place),
    )
    const place = near.sort((a, b) => away(a, anchor.station) - away(b, anchor.station))[0] ?? {
      from: anchor.station,
      to: anchor.station + POINT,
      feature: null,
      end: false,
    }
    if (place.feature === null) places.push(place)
    fixed.push({ call: call.index, place })
  }
  places.sort((a, b) => a.from + a.to - b.from - b.to)
  const all: Place[] = [
    { from: 0, to: 0, feature: null, end: true },
    ...places,
    { from: route.length, to: route.length, feature: null, end: true },
  ]
  const map = new Map<number, number>()
  let lastPlace = 0
  for (const { call, place } of fixed.sort((a, b) => a.call - b.call)) {
    const at = all.indexOf(place)
    // Anchors that cross cannot both hold; the earlier call keeps its own.
    if (at < lastPlace || call - first < 0) continue
    map.set(call - first + 1, at)
    lastPlace = at
  }
  return { places: all, anchors: map }
}

const away = (place: Place, station: Metres) => Math.max(0, place.from - station, station - place.to)

interface Laid {
  readonly notes: Notes
  readonly route: Route
  readonly calls: readonly CallView[]
  readonly places: readonly Place[]
  readonly found: Alignment
  readonly anchors: ReadonlyMap<number, number>
  readonly first: number
  readonly scale: Scale
}

function layCalls(q: Laid): PlacedCall[] {
  const spans = q.calls.map((_, i) => spanOf(q, i))
  layByDistance(q.calls, spans, q.route.length, q.scale.odometer)
  return q.notes.calls.map((call, c): PlacedCall => {
    const i =
      call.elements.some((element) => element.meaning.is === 'start') && c === 0 && q.first === 1 ? 0 : c - q.first + 1
    const span = spans[i]!
    const on = q.found.places[i]!
    const anchored = q.anchors.has(i)
    const features = on.flatMap((p) => {
      const index = q.places[p]!.feature === null ? -1 : q.route.features.indexOf(q.places[p]!.feature!)
      return index < 0 ? [] : [index]
    })
    const parts = partsOf(q, i, span, on)
    return {
      index: c,
      from: span.from,
      to: span.to,
      parts,
      features,
      ...layElements(call, span, parts, q.route),
      confidence: anchored ? 1 : on.length === 0 ? 0 : q.found.posterior[i]!,
      by: anchored ? 'anchor' : on.length === 0 ? 'distance' : 'feature',
    }
  })
}

type Span = { from: Metres; to: Metres; known: boolean }

function spanOf(q: Laid, i: number): Span {
  const on = q.found.places[i]!
  if (on.length === 0) return { from: 0, to: 0, known: false }
  const from = q.places[on[0]!]!.from
  const to = q.places[on.at(-1)!]!.to
  // Two calls on one merged corner share it in proportion to the road each usually takes.
  const mates = [i - 1, i + 1].filter(
    (k) =>
      k > 0 &&
      k < q.calls.length - 1 &&
      q.found.places[k]!.length === 1 &&
      on.length === 1 &&
      q.found.places[k]![0] === on[0],
  )
  if (mates.length === 0) return { from, to: Math.max(to, from), known: true }
  const size = (k: number) => q.calls[k]!.usualAngle * (q.calls[k]!.grade?.radius ?? 55)
  const mate = mates[0]!
  const cut = from + ((to - from) * size(Math.min(i, mate))) / (size(i) + size(mate))
  return mate > i ? { from, to: cut, known: true } : { from: cut, to, known: true }
}

/** Calls no feature shows, between known neighbours: called distances scaled to the real gap. */
function layByDistance(calls: readonly CallView[], spans: Span[], length: Metres, odometer: number): void {
  const after = (call: CallView) => (call.distance > 0 ? call.distance / odometer : call.link === null ? 40 : 12)
  for (let i = 1; i < spans.length - 1; i++) {
    if (spans[i]!.known) continue
    let j = i
    while (!spans[j]!.known) j++
    const from = spans[i - 1]!.to
    const to = Math.max(from, spans[j]!.from)
    const gaps = calls.slice(i - 1, j).map(after)
    const total = gaps.reduce((a, b) => a + b, 0)
    let sum = 0
    for (let k = i; k < j; k++) {
      sum += gaps[k - i]!
      const at = Math.min(length, from + ((to - from) * sum) / Math.max(1e-9, total))
      spans[k] = { from: at, to: Math.min(length, Math.max(at, Math.min(to, at + POINT))), known: true }
    }
    i = j - 1
  }
}

function partsOf(q: Laid, i: number, span: Span, on: readonly number[]): PlacedPart[] {
  const call = q.calls[i]!
  const corners = on
    .map((p) => q.places[p]!.feature)
    .filter((feature): feature is CornerFeature => feature?.kind === 'corner')
  if (corners.length > 1) {
    return corners.map((corner, k) => ({
      from: k === 0 ? span.from : corner.from,
      to: corner.to,
      radius: corner.radius,
      element: k === corners.length - 1 ? (call.change?.element ?? null) : null,
    }))
  }
  const radius = corners[0]?.radius ?? call.grade?.radius ?? 100
  const whole = { from: span.from, to: Math.max(span.to, span.from), radius, element: null }
  if (call.change === null || corners.length === 0 || span.to - span.from < 4) return [whole]
  // A change that the road does not show in two parts is taken half way (placement.md §5).
  const half = (span.from + span.to) / 2
  return [
    { ...whole, to: half },
    { from: half, to: span.to, radius, element: call.change.element },
  ]
}
