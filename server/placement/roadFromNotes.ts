import type { Notes } from '../notes/notes.ts'
import type { CornerFeature, RoadFeature, Route } from '../route/route.ts'
import type { Metres, PerMetre, Radians } from '../units.ts'
import { type CallView, callViews } from './callView.ts'
import { countCrossings } from './crossings.ts'
import { drawnAngles } from './drawnAngles.ts'
import { drawVerticalInPlace, verticalsOf } from './drawnCrests.ts'
import { layElements } from './layElements.ts'
import type { PlacedCall, PlacedPart, Placement } from './placement.ts'

const LINK: Metres = 12
const UNSAID: Metres = 40
/** Ramps: the shorter of 20 m and 0.3 of the arc (docs/method/placement.md). */
const ramp = (arc: Metres) => Math.min(20, 0.3 * arc)
/** What a crew is told where notes and road do not go together; shown with its number. */
const TOO_LONG = 'metres the notes ask for beyond the stage length'
const TOO_SHORT = 'metres of the stage length the notes leave unsaid'
const CROSSES = 'places where the drawn road crosses itself'
const UNKNOWN_RADIUS: Metres = 65

interface Piece {
  length: Metres
  /** How far it may be stretched to meet a known length: one σ. */
  readonly sigma: Metres
  readonly least: Metres
  readonly most: Metres
}

/**
 * A road drawn from the notes alone (docs/method/placement.md): grade gives radius, length words the turning, distances the straights; straights are
 * stretched within what was said to meet a known length; where they cannot, the losses say by how much. Turnings are chosen so that the road
 * seldom crosses itself; where it does, the losses count it. Source 'notes': marked as drawn wherever it is shown. Throws RangeError for notes
 * without a call or a length that is none.
 */
export function roadFromNotes(
  notes: Notes,
  options: { readonly length?: Metres } = {},
): { route: Route; placement: Placement } {
  if (notes.calls.length === 0) throw new RangeError('roadFromNotes: the notes hold no call')
  const views = callViews(notes)
  const pieces = views.map(gapAfter)
  const angles = drawnAngles(
    views,
    pieces.map((piece) => piece.length),
  )
  const arcs = views.map((view, i) => arcOf(view, angles[i]!))
  const leads = views[0]!.kind === 'start' ? 0 : UNSAID
  const losses: Record<string, number> = {}
  if (options.length !== undefined) {
    if (!(options.length > 0)) throw new RangeError(`roadFromNotes: length must be > 0, got ${options.length}`)
    const room = options.length - leads - arcs.reduce((sum, arc) => sum + arc.length, 0)
    stretchInPlace(pieces, room)
    const over = Math.round(pieces.reduce((sum, piece) => sum + piece.length, 0) - room)
    if (over > 0) losses[TOO_LONG] = over
    else if (over < 0) losses[TOO_SHORT] = -over
  }
  const { curvature, spans } = drawPlan(arcs, pieces, leads)
  return finish(notes, views, curvature, spans, losses)
}

/**
 * Curvature of each whole metre, and where each call's arc lies. Lengths add up unrounded: rounding each of hundreds of pieces would make the
 * road longer than the stage.
 */
function drawPlan(arcs: readonly Arc[], pieces: readonly Piece[], leads: Metres) {
  const curvature: PerMetre[] = []
  let at = leads
  const spans = arcs.map((arc, i) => {
    const from = at
    while (curvature.length + 0.5 < from) curvature.push(0)
    while (curvature.length + 0.5 < from + arc.length) curvature.push(arc.at(curvature.length + 0.5 - from))
    at = from + arc.length + pieces[i]!.length
    return { from: Math.round(from), to: Math.round(from + arc.length) }
  })
  while (curvature.length < Math.max(2, Math.round(at))) curvature.push(0)
  return { curvature, spans }
}

type Arc = { readonly length: Metres; readonly at: (s: Metres) => PerMetre }

function arcOf(view: CallView, angle: Radians): Arc {
  if (view.kind !== 'corner') return { length: 0, at: () => 0 }
  const sign = view.side === 'right' ? -1 : 1
  const r1 = view.grade?.radius ?? UNKNOWN_RADIUS
  const r2 = secondRadius(view, r1)
  const k1 = sign / r1
  const k2 = sign / r2
  const edge = ramp(angle * Math.min(r1, r2))
  const arcs = Math.max(0.1, angle - (edge * (1 / r1 + 1 / r2)) / 2)
  const a = (arcs / 2) * r1
  const b = (arcs / 2) * r2
  return {
    length: 2 * edge + a + b,
    at: (s) =>
      s < edge
        ? (k1 * s) / edge
        : s < edge + a
          ? k1
          : s < edge + a + b
            ? k2
            : Math.max(0, 1 - (s - edge - a - b) / edge) * k2,
  }
}

/** The tightened or opened radius: as said, at least × 0.75 or × 1.33, else one grade on. */
function secondRadius(view: CallView, r1: Metres): Metres {
  if (view.change === null) return r1
  const to = view.change.grade?.radius
  return view.change.sense === 'tightens' ? Math.min(to ?? r1 * 0.64, r1 * 0.75) : Math.max(to ?? r1 * 1.55, r1 * 1.33)
}

function gapAfter(view: CallView): Piece {
  if (view.kind === 'finish') return { length: 0, sigma: 0.01, least: 0, most: 0.1 }
  if (view.distance > 0)
    return {
      length: view.distance,
      sigma: 0.1 * view.distance + 5,
      least: Math.max(5, 0.4 * view.distance),
      most: 2.5 * view.distance + 20,
    }
  if (view.link !== null) return { length: LINK, sigma: 6, least: 4, most: 50 }
  return { length: UNSAID, sigma: 40, least: 5, most: 120 }
}

/** len_i = len0_i + λσ_i² within bounds; λ by bisection so that the straights add up to `room`. */
function stretchInPlace(pieces: Piece[], room: Metres): void {
  const at = (lambda: number) =>
    pieces.map((piece) => Math.min(piece.most, Math.max(piece.least, piece.length + lambda * piece.sigma ** 2)))
  const total = (lengths: readonly number[]) => lengths.reduce((a, b) => a + b, 0)
  let low = -10
  let high = 10
  for (let round = 0; round < 80; round++) {
    const middle = (low + high) / 2
    if (total(at(middle)) < room) low = middle
    else high = middle
  }
  at((low + high) / 2).forEach((length, i) => {
    pieces[i]!.length = length
  })
}

function finish(
  notes: Notes,
  views: readonly CallView[],
  curvature: readonly PerMetre[],
  spans: readonly { from: Metres; to: Metres }[],
  losses: Record<string, number>,
): { route: Route; placement: Placement } {
  const n = curvature.length
  const x = new Float64Array(n + 1)
  const y = new Float64Array(n + 1)
  const heading = new Float64Array(n + 1)
  for (let i = 0; i < n; i++) {
    const middle = heading[i]! + curvature[i]! / 2
    x[i + 1] = x[i]! + Math.cos(middle)
    y[i + 1] = y[i]! + Math.sin(middle)
    heading[i + 1] = heading[i]! + curvature[i]!
  }
  const crossings = countCrossings(x, y)
  const features: RoadFeature[] = []
  const vertical = new Float64Array(n + 1)
  const calls = notes.calls.map((call, i): PlacedCall => {
    const view = views[i]!
    const span = spans[i]!
    const indices: number[] = []
    if (view.kind === 'corner') {
      indices.push(features.length)
      features.push(cornerFeature(view, curvature, span))
    }
    for (const said of verticalsOf(call)) {
      const at = view.kind === 'corner' && said.over ? span.from + 0.25 * (span.to - span.from) : span.from
      const crest = drawVerticalInPlace(vertical, at, said.radius)
      if (crest) {
        indices.push(features.length)
        features.push(crest)
      }
    }
    const parts: PlacedPart[] =
      view.change === null || span.to - span.from < 4
        ? [{ ...span, radius: view.grade?.radius ?? UNKNOWN_RADIUS, element: null }]
        : [
            {
              from: span.from,
              to: (span.from + span.to) / 2,
              radius: view.grade?.radius ?? UNKNOWN_RADIUS,
              element: null,
            },
            {
              from: (span.from + span.to) / 2,
              to: span.to,
              radius: secondRadius(view, view.grade?.radius ?? UNKNOWN_RADIUS),
              element: view.change.element,
            },
          ]
    return { index: i, ...span, parts, features: indices, stations: [], crest: null, confidence: 1, by: 'feature' }
  })
  const { z, grade } = heights(vertical)
  const route: Route = {
    length: n,
    step: 1,
    closed: false,
    x,
    y,
    z,
    heading,
    curvature: Float64Array.from({ length: n + 1 }, (_, i) => curvature[Math.min(n - 1, i)]!),
    grade,
    verticalCurvature: vertical,
    features: [...features].sort((a, b) => a.from + a.to - b.from - b.to),
    losses: crossings > 0 ? { ...losses, [CROSSES]: crossings } : losses,
    source: 'notes',
    noise: { position: null, curvature: null },
    origin: null,
  }
  const placed = calls.map((call, i) => ({
    ...call,
    features: call.features.map((f) => route.features.indexOf(features[f]!)),
    ...layElements(notes.calls[i]!, call, call.parts, route),
  }))
  return { route, placement: { calls: placed, gradeScale: [], odometer: 1, evidence: 0 } }
}

function cornerFeature(
  view: CallView,
  curvature: readonly PerMetre[],
  span: { from: Metres; to: Metres },
): CornerFeature {
  let angle = 0
  for (let i = span.from; i < span.to; i++) angle += Math.abs(curvature[i]!)
  return {
    kind: 'corner',
    side: view.side === 'right' ? 'right' : 'left',
    from: span.from,
    to: Math.max(span.to, span.from + 1),
    radius: view.grade?.radius ?? UNKNOWN_RADIUS,
    angle,
  }
}

function heights(vertical: Float64Array): { z: Float64Array; grade: Float64Array } {
  const z = new Float64Array(vertical.length)
  const grade = new Float64Array(vertical.length)
  for (let i = 1; i < vertical.length; i++) {
    grade[i] = (grade[i - 1]! + vertical[i - 1]!) * 0.999
    z[i] = z[i - 1]! + grade[i - 1]!
  }
  return { z, grade }
}
