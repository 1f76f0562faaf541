import type { Notes } from '../notes/notes.ts'
import type { CornerFeature, CrestFeature, RoadFeature, Route } from '../route/route.ts'
import type { Metres, PerMetre, Radians } from '../units.ts'
import { type CallView, callViews } from './callView.ts'
import { layElements } from './layElements.ts'
import type { PlacedCall, PlacedPart, Placement } from './placement.ts'

const LINK: Metres = 12
const UNSAID: Metres = 40
/** Ramps: the shorter of 20 m and 0.3 of the arc (placement.md §6). */
const ramp = (arc: Metres) => Math.min(20, 0.3 * arc)
const CREST_LENGTH: Metres = 40
const CREST_RADIUS: Metres = 300
const UNKNOWN_RADIUS: Metres = 65

interface Piece {
  length: Metres
  /** How far it may be stretched to meet a known length: one σ. */
  readonly sigma: Metres
  readonly least: Metres
  readonly most: Metres
}

/**
 * A road drawn from the notes alone (placement.md §6): grade gives radius, length words the turning, distances the straights; straights are
 * stretched within what was said to meet a known length. Corners turn so that the road's heading stays near its start, where a usual turning
 * allows. Marked as drawn wherever it is shown. Throws RangeError for notes without a call.
 */
export function roadFromNotes(
  notes: Notes,
  options: { readonly length?: Metres } = {},
): { route: Route; placement: Placement } {
  if (notes.calls.length === 0) throw new RangeError('roadFromNotes: the notes hold no call')
  const views = callViews(notes)
  const angles = chooseAngles(views)
  const arcs = views.map((view, i) => arcOf(view, angles[i]!))
  const pieces = views.map(gapAfter)
  const leads = views[0]!.kind === 'start' ? 0 : UNSAID
  if (options.length !== undefined)
    stretch(pieces, options.length - leads - arcs.reduce((sum, arc) => sum + arc.length, 0))
  const curvature: PerMetre[] = []
  const straight = (length: Metres) => {
    for (let s = 0; s < Math.round(length); s++) curvature.push(0)
  }
  straight(leads)
  const spans = arcs.map((arc, i) => {
    const from = curvature.length
    for (let s = 0; s < Math.round(arc.length); s++) curvature.push(arc.at(s + 0.5))
    const to = curvature.length
    straight(pieces[i]!.length)
    return { from, to }
  })
  if (options.length !== undefined) while (curvature.length < Math.round(options.length)) curvature.push(0)
  while (curvature.length < 2) curvature.push(0)
  return finish(notes, views, curvature, spans)
}

function chooseAngles(views: readonly CallView[]): Radians[] {
  let heading = 0
  return views.map((view) => {
    if (view.kind !== 'corner') return 0
    const usual = Math.max(0.2, view.usualAngle)
    const sign = view.side === 'right' ? -1 : 1
    const away = heading * sign > 0
    // Turn a little less when leading away from the first heading, a little more when leading back: most crossings never arise.
    const angle = usual * (Math.abs(heading) < 0.6 ? 1 : away ? 0.72 : 1.18)
    heading += sign * angle
    return angle
  })
}

function arcOf(view: CallView, angle: Radians): { length: Metres; at: (s: Metres) => PerMetre } {
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
function stretch(pieces: Piece[], room: Metres): void {
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
  const features: RoadFeature[] = []
  const vertical = new Float64Array(n + 1)
  const calls = notes.calls.map((_call, i): PlacedCall => {
    const view = views[i]!
    const span = spans[i]!
    const indices: number[] = []
    if (view.kind === 'corner') {
      indices.push(features.length)
      features.push(cornerFeature(view, curvature, span))
    }
    if (view.crest && view.kind !== 'start') {
      const at = view.kind === 'corner' ? span.from + 0.25 * (span.to - span.from) : span.from
      features.push(drawCrest(vertical, at, n))
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
    losses: {},
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

/** Crest on top and two hollows of half its sharpness at its feet, so that the road is level again behind it. */
function drawCrest(vertical: Float64Array, at: Metres, n: number): CrestFeature {
  const half = CREST_LENGTH / 2
  for (let i = Math.max(0, Math.ceil(at - 3 * half)); i <= Math.min(n, Math.floor(at + 3 * half)); i++) {
    vertical[i] = vertical[i]! + (Math.abs(i - at) < half ? -1 / CREST_RADIUS : 0.5 / CREST_RADIUS)
  }
  return {
    kind: 'crest',
    from: Math.max(0, at - half),
    to: Math.min(n, at + half),
    at,
    radius: CREST_RADIUS,
    drawn: true,
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
