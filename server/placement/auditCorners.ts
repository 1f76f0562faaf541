import type { CornerFeature } from '../route/route.ts'
import type { Metres, Radians } from '../units.ts'
import { type Audited, callBefore, cornersOf, finding, isSure, quoted, TIGHT, TURNS } from './audit.ts'
import { pCalled } from './likelihood.ts'
import type { Finding, PlacedCall } from './placement.ts'

/** Less likely to be called than this, a corner counts as not called. */
const UNCALLED = 0.5
/** … and less likely than this, where it might be a called corner's change. */
const CARRIED_ON = 0.2
/** A call covers a corner of which it takes more than this share. */
const COVERED = 0.5
/** So many called corners tell which corners a crew calls at all; wider and gentler ones than these are never asked for. */
const ENOUGH = 20
const MOST_WIDE: Metres = 180
const MOST_TURNS: Radians = 0.35
/** With no more road than this between, the road only changes radius. */
const TOUCHES: Metres = 1.5
/** A same-side part this near its neighbour belongs to it. */
const ADJOINS = 8
/** Second over first radius: below, the corner tightens; above, it opens (docs/method/placement.md). */
const TIGHTENS = 0.78
const OPENS = 1.3
/** Wider than this, the radius of a logged corner wavers by itself. */
const WAVERS = 85
/** Called distance up to which two corners of one side may read as one (docs/method/placement.md). */
const MERGES: Metres = 30
/** Posterior of being nowhere from which a corner call has no corner. */
const NOWHERE = 0.6

/**
 * Corners that no call names, of those that this crew calls. What a call covers already, and what is likely a called corner's own change, is none of its own.
 */
export function uncalledCorners(q: Audited): Finding[] {
  const found: Finding[] = []
  const { widest, least } = calledAtAll(q)
  q.route.features.forEach((corner, f) => {
    if (corner.kind !== 'corner' || q.callOn.has(f)) return
    if (corner.radius >= widest || corner.angle <= least || pCalled(corner) < UNCALLED) return
    const called = q.placement.called?.[f] ?? 0
    const apart = gapToCalled(q, f)
    if (apart <= TOUCHES || called >= (apart <= ADJOINS ? CARRIED_ON : UNCALLED)) return
    const covered = q.placement.calls.some(
      (call) => Math.min(call.to, corner.to) - Math.max(call.from, corner.from) > COVERED * (corner.to - corner.from),
    )
    if (covered) return
    found.push(
      finding(
        'corner-not-called',
        'warning',
        corner.from,
        callBefore(q, corner.from),
        `a ${corner.side} of ${round(corner.radius)} m radius turning ${degrees(corner.angle)}° that no call names.`,
        { radius: corner.radius, angle: corner.angle, length: corner.to - corner.from, likely: 1 - called },
      ),
    )
  })
  return found
}

/** The widest corner and the least turning that this crew calls: of nineteen in twenty of its calls, where there are enough to tell. */
function calledAtAll(q: Audited): { widest: Metres; least: Radians } {
  const corners = q.placement.calls.filter(isSure).flatMap((call) => cornersOf(q, call))
  if (corners.length < ENOUGH) return { widest: TIGHT, least: TURNS }
  const radii = corners.map((corner) => corner.radius).sort((a, b) => a - b)
  const angles = corners.map((corner) => corner.angle).sort((a, b) => a - b)
  return {
    widest: Math.min(MOST_WIDE, radii[Math.floor(0.95 * radii.length)]!),
    least: Math.min(MOST_TURNS, Math.max(TURNS, angles[Math.floor(0.05 * angles.length)]!)),
  }
}

/** How far a corner is from the next called one of its side. */
function gapToCalled(q: Audited, f: number): Metres {
  const corner = q.route.features[f] as CornerFeature
  let least = Number.POSITIVE_INFINITY
  for (const n of [f - 2, f - 1, f + 1, f + 2]) {
    const other = q.route.features[n]
    if (other?.kind === 'corner' && q.callOn.has(n) && other.side === corner.side)
      least = Math.min(least, Math.max(other.from - corner.to, corner.from - other.to))
  }
  return least
}

export function wrongDirections(q: Audited): Finding[] {
  return q.placement.calls.flatMap((call, i) => {
    const { side } = q.views[i]!
    const corner = cornersOf(q, call)[0]
    if (!corner || side === null || side === corner.side || !isSure(call)) return []
    return [
      finding(
        'direction-wrong',
        'warning',
        call.from,
        i,
        `${quoted(q, i)}, but the road turns ${corner.side} by ${degrees(corner.angle)}°.`,
        { angle: corner.angle, radius: corner.radius },
      ),
    ]
  })
}

/** A log shows two close corners of one side as one: the call may be on its neighbour's. */
function mayBeMerged(q: Audited, call: number): boolean {
  if (!q.placement.blur) return false
  const close = (i: number) => {
    const { link, distance } = q.views[i]!
    return link !== null || (distance > 0 && distance <= MERGES)
  }
  const like = (i: number) => q.views[i]?.side === q.views[call]!.side && q.placement.calls[i]!.by !== 'distance'
  return (like(call - 1) && close(call - 1)) || (like(call + 1) && close(call))
}

/** Corner calls that the road has no corner for. */
export function callsWithoutCorner(q: Audited): Finding[] {
  return q.placement.calls.flatMap((call, i) => {
    if (q.views[i]!.kind !== 'corner' || call.by !== 'distance' || (call.nowhere ?? 1) <= NOWHERE) return []
    if (mayBeMerged(q, i)) return []
    return [
      finding(
        'call-without-feature',
        'warning',
        call.from,
        i,
        `no corner for ${quoted(q, i)} shows in the road; placed by distance.`,
        { nowhere: call.nowhere ?? 1 },
      ),
    ]
  })
}

/** Corners that change radius against what their call says. */
export function wrongChanges(q: Audited): Finding[] {
  return q.placement.calls.flatMap((call, i): Finding[] => {
    const view = q.views[i]!
    const corners = cornersOf(q, call)
    if (view.kind !== 'corner' || corners.length === 0 || (call.mate ?? 0) !== 0 || !isSure(call)) return []
    const first = corners[0]!
    const last = corners.at(-1)!
    if (view.change === null) {
      const rest = corners.length > 1 ? last : restOf(q, call)
      if (rest === null || rest.side !== first.side || rest.angle <= TURNS) return []
      const ratio = rest.radius / first.radius
      if (ratio >= TIGHTENS || rest.radius >= WAVERS) return []
      return [
        finding(
          'tightens-missing',
          'warning',
          rest.from,
          i,
          `${quoted(q, i)} tightens here from ${round(first.radius)} to ${round(rest.radius)} m, and the call does not say so.`,
          { first: first.radius, second: rest.radius, ratio },
        ),
      ]
    }
    if (corners.length < 2) return []
    const ratio = last.radius / first.radius
    const opens = view.change.sense === 'opens'
    if (opens ? ratio >= TIGHTENS : ratio <= OPENS) return []
    return [
      finding(
        'tightens-wrong',
        'warning',
        last.from,
        i,
        `${quoted(q, i)}, but the corner ${opens ? 'tightens' : 'opens'} from ${round(first.radius)} to ${round(last.radius)} m.`,
        { first: first.radius, second: last.radius, ratio },
      ),
    ]
  })
}

/** A same-side part right after a call's corner that is nobody's. */
function restOf(q: Audited, call: PlacedCall) {
  const f = Math.max(...call.features)
  for (const n of [f + 1, f + 2]) {
    const next = q.route.features[n]
    if (next?.kind !== 'corner') continue
    const own = q.route.features[f]!
    return !q.callOn.has(n) && next.from - own.to <= ADJOINS && (q.placement.called?.[n] ?? 0) < UNCALLED ? next : null
  }
  return null
}

const round = (metres: number): string => metres.toFixed(0)
const degrees = (angle: number): string => ((angle * 180) / Math.PI).toFixed(0)
