import type { Notes } from '../notes/notes.ts'
import type { Route } from '../route/route.ts'
import type { Metres } from '../units.ts'
import { type Alignment, align, type Place } from './align.ts'
import { callParts } from './callParts.ts'
import { callSpan, confidenceOf } from './callSpan.ts'
import { type CallView, callViews } from './callView.ts'
import { fitGradeScale, startScale } from './gradeScale.ts'
import { layElements } from './layElements.ts'
import { layUnseenInPlace, type Span } from './layUnseen.ts'
import type { Scale } from './likelihood.ts'
import type { Anchor, PlacedCall, Placement } from './placement.ts'
import { placesOf, wholeCorner } from './places.ts'
import { blurOf } from './shownRadius.ts'

/** Passes of the scale fit; it stops sooner when nothing moves. */
const FIT_ROUNDS = 3
const SETTLED = 0.03

export interface PlaceOptions {
  readonly anchors?: readonly Anchor[]
  /** Fit the crew's own radius for each grade (default) or keep the table's. */
  readonly fitScale?: boolean
}

/**
 * Which call is where (docs/method/placement.md): exact alignment of calls to corners and crests, the crew's grade scale fitted on the way, hand anchors
 * hard. A call that no feature shows is laid between its neighbours by the called distances. Confidence is the posterior of the place.
 */
export function placeCalls(notes: Notes, route: Route, options: PlaceOptions = {}): Placement {
  const views = callViews(notes)
  const first = views[0]?.kind === 'start' ? 1 : 0
  const last = views.at(-1)?.kind === 'finish' ? views.length - 1 : views.length
  const END: CallView = { ...emptyView, kind: 'finish' }
  const calls = [
    first === 1 ? views[0]! : { ...emptyView, kind: 'start' as const },
    ...views.slice(first, last).map(inside),
    views[last] ?? END,
  ]
  const { places, anchors, unheld } = placesOf(notes, route, options.anchors ?? [], first)
  let scale = startScale(blurOf(route))
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
    ends: scale.ends ?? 0,
    evidence: found.evidence,
    spread: scale.sigma,
    blur: scale.blur ?? 0,
    called: calledFeatures(route, places, found.called),
    unheld,
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

/** A start or finish in the middle of the notes is only a word there. */
const inside = (view: CallView): CallView =>
  view.kind === 'start' || view.kind === 'finish' ? { ...view, kind: 'line' } : view

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
  const spans = q.calls.map((_, i): Span => {
    const on = q.found.places[i]!
    if (on.length === 0) return { from: 0, to: 0, known: i === 0 || i === q.calls.length - 1 }
    return { ...callSpan(q, i, { places: on, mate: q.found.mates[i]! }), known: true }
  })
  layUnseenInPlace(q.calls, spans, q.route.length, q.scale.odometer)
  const index = new Map(q.route.features.map((feature, f) => [feature, f]))
  return q.notes.calls.map((call, c): PlacedCall => {
    const i = c - q.first + 1
    const span = { from: spans[i]!.from, to: spans[i]!.to }
    const on = q.found.places[i]!.map((p) => q.places[p]!)
    const anchored = q.anchors.has(i)
    const features = new Set(
      on.flatMap((place) => {
        const feature = wholeCorner(place) ?? place.feature
        const f = feature === null ? undefined : index.get(feature)
        return f === undefined ? [] : [f]
      }),
    )
    const parts = callParts(q.calls[i]!, span, on, q.route)
    const somewhere = q.found.nodes[i]!.reduce((sum, node) => sum + node.mass, 0)
    const end = i === 0 || i === q.calls.length - 1
    return {
      index: c,
      ...span,
      parts,
      features: [...features],
      ...layElements(call, span, parts, q.route),
      confidence: anchored || end ? 1 : on.length === 0 ? 0 : confidenceOf(q, i, q.found.nodes[i]!, span),
      by: anchored ? 'anchor' : on.length === 0 && !end ? 'distance' : 'feature',
      nowhere: anchored || end ? 0 : Math.max(0, 1 - somewhere),
      mate: q.found.mates[i]!,
    }
  })
}

/** Probability that some call names each feature: of a cut corner, the surest of its parts. */
function calledFeatures(route: Route, places: readonly Place[], called: Float64Array): number[] {
  const by = new Map<unknown, number>()
  places.forEach((place, p) => {
    const feature = wholeCorner(place) ?? place.feature
    if (feature) by.set(feature, Math.max(by.get(feature) ?? 0, Math.min(1, called[p]!)))
  })
  return route.features.map((feature) => by.get(feature) ?? 0)
}
