import { type Audited, callBefore, cornersOf, finding, isSure, quoted, TIGHT, TURNS } from './audit.ts'
import { pCalled, shownLnRadius } from './likelihood.ts'
import type { Finding, GradeScaleRow, PlacedCall } from './placement.ts'

/** Less likely to be called than this, a corner counts as not called. */
const UNCALLED = 0.5
/** A same-side part this near its neighbour belongs to it. */
const ADJOINS = 8
/** Second over first radius: below, the corner tightens; above, it opens (placement.md §4). */
const TIGHTENS = 0.78
const OPENS = 1.3
/** Wider than this, the radius of a logged corner wavers by itself. */
const WAVERS = 85
/** A grade is wrong when the road's is more than one away and this many σ. One away lies within most crews' own scatter (placement.md §4). */
const FAR = 2
/** Share of the way to the second grade on from which a radius is that grade's rather than the next one's. */
const FAR_SHARE = 0.72
/** A plus or minus behind a grade. */
const SIGNED = /[+½-]+$/
/** Grades nearer than this (ln) are shown as one by this road. */
const LEAST_STEP = 0.08
/** σ of the flattening, as a share of it. */
const FLATTENED_DOUBT = 1
/** Posterior of being nowhere from which a corner call has no corner. */
const NOWHERE = 0.6

/** Corners that no call names. What carries on a called one is that call's change, not a corner of its own. */
export function uncalledCorners(q: Audited): Finding[] {
  const found: Finding[] = []
  q.route.features.forEach((corner, f) => {
    if (corner.kind !== 'corner' || q.callOn.has(f)) return
    if (corner.radius >= TIGHT || corner.angle <= TURNS || pCalled(corner) < UNCALLED) return
    if ((q.placement.called?.[f] ?? 0) >= UNCALLED) return
    if (q.placement.calls.some((call) => call.from < corner.to && call.to > corner.from)) return
    const carriesOn = [f - 2, f - 1, f + 1, f + 2].some((n) => {
      const other = q.route.features[n]
      if (other?.kind !== 'corner' || !q.callOn.has(n) || other.side !== corner.side) return false
      return Math.max(other.from - corner.to, corner.from - other.to) <= ADJOINS
    })
    if (carriesOn) return
    found.push(
      finding(
        'corner-not-called',
        'warning',
        corner.from,
        callBefore(q, corner.from),
        `a ${corner.side} of ${round(corner.radius)} m radius turning ${degrees(corner.angle)}° that no call names.`,
        { radius: corner.radius, angle: corner.angle, length: corner.to - corner.from },
      ),
    )
  })
  return found
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

/** Corner calls that the road has no corner for. */
export function callsWithoutCorner(q: Audited): Finding[] {
  return q.placement.calls.flatMap((call, i) => {
    if (q.views[i]!.kind !== 'corner' || call.by !== 'distance' || (call.nowhere ?? 1) <= NOWHERE) return []
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

/** Radii against the crew's own scale: more than one grade off. */
export function wrongGrades(q: Audited): Finding[] {
  const spread = q.placement.spread ?? 0.25
  // Hairpins, squares and junction turns are named for their turning: they are no step of the scale.
  const rows = q.placement.gradeScale
    .filter((row) => !/hairpin|square|acute|°/.test(row.grade))
    .sort((a, b) => (a.table ?? a.radius) - (b.table ?? b.radius))
  return q.placement.calls.flatMap((call, i) => {
    const view = q.views[i]!
    const corner = cornersOf(q, call)[0]
    if (!corner || view.grade === null || view.flat || view.hairpin || !isSure(call)) return []
    if ((call.mate ?? 0) !== 0 || view.side !== corner.side) return []
    const radius = view.change ? (call.parts[0]?.radius ?? corner.radius) : wholeRadius(q, call)
    const own = rows.findIndex((row) => row.grade === view.grade!.name)
    if (own < 0) return []
    const lnR = Math.log(radius)
    const { blur } = q.placement
    // Each grade as this road would show it: a short tight bend reads wide, and that is not the crew's mistake.
    const angle = view.change ? corner.angle : cornersOf(q, call).reduce((sum, one) => sum + one.angle, 0)
    const shown = rows.map((row) => shownLnRadius(Math.log(row.radius), angle, blur))
    const off = lnR - shown[own]!
    // Where the road flattens much it is also less sure by how much.
    const sigma = Math.hypot(spread, FLATTENED_DOUBT * (shown[own]! - Math.log(rows[own]!.radius)))
    const two = twoGrades(rows, shown, own, Math.sign(off))
    if (two === null || Math.abs(off) <= Math.max(FAR * sigma, FAR_SHARE * two)) return []
    // More than one off on the crew's own scale too: a road that flattens shows tight grades all but alike.
    const steps = gradesApart(
      rows,
      own,
      nearestRow(
        rows.map((row) => Math.log(row.radius)),
        lnR,
      ),
    )
    if (Math.abs(off) <= oneGrade(rows, own, Math.sign(off))) return []
    const nearest = nearestRow(shown, lnR)
    return [
      finding(
        'grade-off',
        'warning',
        call.from,
        i,
        `${quoted(q, i)}: the road has ${round(radius)} m here, this crew's ${view.grade.name} is ${round(rows[own]!.radius)} m ± ${Math.round(100 * sigma)} %; ${rows[nearest]!.grade} would be ${round(rows[nearest]!.radius)} m.`,
        { radius, called: rows[own]!.radius, nearest: rows[nearest]!.radius, steps, sigma },
      ),
    ]
  })
}

function wholeRadius(q: Audited, call: PlacedCall): number {
  const corners = cornersOf(q, call)
  if (call.parts.length === 1) return call.parts[0]!.radius
  const angle = corners.reduce((sum, corner) => sum + corner.angle, 0)
  return corners.reduce((sum, corner) => sum + corner.radius * corner.angle, 0) / Math.max(1e-9, angle)
}

/** ln from a grade to the second whole grade on its tighter (−1) or faster (1) side; what lies beyond the scale goes on at its last step. */
function twoGrades(
  rows: readonly GradeScaleRow[],
  shown: readonly number[],
  own: number,
  towards: number,
): number | null {
  const whole = rows.flatMap((row, r) =>
    r !== own && !SIGNED.test(row.grade) && (shown[r]! - shown[own]!) * towards > LEAST_STEP
      ? [(shown[r]! - shown[own]!) * towards]
      : [],
  )
  whole.sort((a, b) => a - b)
  return whole.length === 0 ? null : (whole[1] ?? 2 * whole[0]!)
}

/** ln from a grade to the next whole one on that side of the crew's scale. */
function oneGrade(rows: readonly GradeScaleRow[], own: number, towards: number): number {
  const at = Math.log(rows[own]!.radius)
  const steps = rows
    .filter((row, r) => r !== own && !SIGNED.test(row.grade))
    .map((row) => (Math.log(row.radius) - at) * towards)
    .filter((step) => step > LEAST_STEP)
  return Math.min(...steps, Number.POSITIVE_INFINITY)
}

function nearestRow(shown: readonly number[], lnR: number): number {
  let best = 0
  shown.forEach((row, r) => {
    if (Math.abs(row - lnR) < Math.abs(shown[best]! - lnR)) best = r
  })
  return best
}

/** Whole grades between two rows; a plus or a minus is no grade of its own. */
function gradesApart(rows: readonly GradeScaleRow[], a: number, b: number): number {
  const [low, high] = a < b ? [a, b] : [b, a]
  const base = (row: GradeScaleRow) => row.grade.replace(SIGNED, '')
  let steps = 0
  for (let r = low; r < high; r++) if (base(rows[r]!) !== base(rows[r + 1]!)) steps++
  return steps
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
