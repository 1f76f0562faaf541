import type { Call, Notes } from '../notes/notes.ts'
import type { CrestFeature, RoadFeature, Route } from '../route/route.ts'
import type { Metres, Radians } from '../units.ts'
import type { Placement } from './placement.ts'

/** A drawn crest is no sharper than this, takes as much road as turns its slope by this many radians, and not less nor more than these. */
const SHARPEST: Metres = 120
const SLOPES: Radians = 0.12
const SHORTEST_CREST: Metres = 10
const LONGEST_CREST: Metres = 40
/** Vertical curves wider than this are level road. */
const LEVEL: Metres = 2000
/** Crests that heights show lie this near a call that names one. */
const NEAR: Metres = 20

/** Crests, jumps and dips a call says. Bumps are shorter than a car and are not drawn. */
export function verticalsOf(call: Call): { radius: Metres; over: boolean }[] {
  return call.elements.flatMap(({ meaning }) =>
    meaning.is === 'crest' && meaning.sense !== 'bump' && Math.abs(meaning.radius) < LEVEL
      ? [{ radius: (meaning.sense === 'dip' ? -1 : 1) * Math.abs(meaning.radius), over: meaning.relation !== 'after' }]
      : [],
  )
}

/**
 * A parabola of the radius said (a dip's is negative) and two half as sharp the other way at its feet, so that the road is level again behind it.
 * Held at SHARPEST: notes tell that there is a crest, hardly how sharp. Null for a dip, which is no feature.
 */
export function drawVerticalInPlace(vertical: Float64Array, at: Metres, radius: Metres): CrestFeature | null {
  const n = vertical.length - 1
  const size = Math.max(SHARPEST, Math.abs(radius))
  const half = Math.min(LONGEST_CREST, Math.max(SHORTEST_CREST, SLOPES * size)) / 2
  const k = Math.sign(radius) / size
  const first = Math.max(0, Math.ceil(at - 3 * half))
  const last = Math.min(n, Math.floor(at + 3 * half))
  let top = 0
  for (let i = first; i <= last; i++) if (Math.abs(i - at) < half) top++
  // The feet turn the slope back by just what the top turned it, whatever whole metres they take.
  const foot = top / Math.max(1, last - first + 1 - top)
  for (let i = first; i <= last; i++) vertical[i] = vertical[i]! + (Math.abs(i - at) < half ? -k : k * foot)
  if (radius < 0) return null
  return { kind: 'crest', from: Math.max(0, at - half), to: Math.min(n, at + half), at, radius: size, drawn: true }
}

/**
 * The road with every crest that a call names and the heights do not show, drawn where the call has it (docs/method/placement.md): vertical curvature, slope and
 * height of a parabola and its feet, level again behind it, and a feature marked as drawn. The placement's feature indices follow. Pure; the same road
 * and placement where there is none to draw.
 */
export function layCalledCrests(
  notes: Notes,
  route: Route,
  placement: Placement,
): { route: Route; placement: Placement } {
  const shown = route.features.filter((one) => one.kind === 'crest')
  const vertical = Float64Array.from(route.verticalCurvature)
  const drawn: { call: number; crest: CrestFeature }[] = []
  for (const call of placement.calls) {
    const said = verticalsOf(notes.calls[call.index]!).find((one) => one.radius > 0)
    const at = call.crest
    if (!said || at === null) continue
    if (shown.some((crest) => crest.at > call.from - NEAR && crest.at < call.to + NEAR)) continue
    const crest = drawVerticalInPlace(vertical, Math.round(at / route.step), said.radius)
    if (crest) drawn.push({ call: call.index, crest })
  }
  if (drawn.length === 0) return { route, placement }
  const features = [...route.features, ...drawn.map((one) => one.crest)].sort((a, b) => a.from + a.to - b.from - b.to)
  const index = new Map<RoadFeature, number>(features.map((feature, f) => [feature, f]))
  const calls = placement.calls.map((call) => ({
    ...call,
    features: [
      ...call.features.map((f) => index.get(route.features[f]!)!),
      ...drawn.filter((one) => one.call === call.index).map((one) => index.get(one.crest)!),
    ].sort((a, b) => a - b),
  }))
  const called = features.map((feature) => {
    const before = route.features.indexOf(feature)
    return before < 0 ? 1 : (placement.called?.[before] ?? 0)
  })
  return {
    route: { ...route, ...raised(route, vertical), verticalCurvature: vertical, features },
    placement: { ...placement, calls, ...(placement.called ? { called } : {}) },
  }
}

/** Slope and height with what was drawn put on: its curvature summed once and twice. */
function raised(route: Route, vertical: Float64Array): Pick<Route, 'z' | 'grade'> {
  const z = Float64Array.from(route.z)
  const grade = Float64Array.from(route.grade)
  let slope = 0
  let height = 0
  for (let i = 0; i < z.length; i++) {
    z[i] = z[i]! + height
    grade[i] = grade[i]! + slope
    slope += (vertical[i]! - route.verticalCurvature[i]!) * route.step
    height += slope * route.step
  }
  return { z, grade }
}
