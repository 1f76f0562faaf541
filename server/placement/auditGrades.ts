import type { Route } from '../route/route.ts'
import type { Metres, Radians } from '../units.ts'
import { type Audited, cornersOf, finding, isSure, quoted } from './audit.ts'
import type { CallView } from './callView.ts'
import { DEFAULT_SIGMA, GRADE_STEP } from './likelihood.ts'
import type { Finding, GradeScaleRow, PlacedCall } from './placement.ts'
import { asOne } from './places.ts'
import { shownDensity, shownLnRadius } from './shownRadius.ts'

/**
 * How often, of calls that name a grade, the crew meant the road's own, was one off, on either side, or two and more off
 * (docs/method/placement.md: 0.90, 0.03 and 0.04; two or more is common practice, no source).
 */
const MEANT = 0.9
const ONE_OFF = 0.03
const FAR_OFF = 0.04
/** Share of those that is two off, not more. */
const TWO_OFF = 0.5
/** A share of radii strays more than the scale's spread says, by this much. */
const STRAYS = 0.15
const STRAYS_MORE = 1.8
/** From this posterior on it is told [measured: half of what is told on stages without faults is the crew's own scatter]. */
const LIKELY = 0.09
/** From this on it is a warning, else a hint. */
const EVEN = 0.5
/** Grades that the road would show this much wider (ln) cannot be told by it. */
const MOST_FLATTENED = 1
/** ln of the usual second over the first radius of a corner that changes (docs/method/placement.md), and how surely the whole reads half way (σ). */
const CHANGES = 0.4
const HALF_SPREAD = 0.15
/** A plus or minus behind a grade. */
const SIGNED = /[+½-]+$/
/** Hairpins, squares and junction turns are named for their turning: they are no step of the scale. */
const NAMED = /hairpin|square|acute|°/
/** Grades nearer than this (ln) are one. */
const LEAST_STEP = 0.08

/**
 * Radii against the crew's own scale: calls whose corner is more likely that of a grade two or more away than of the grade said or of one beside it,
 * by how the road would show each of them (`shownRadius.ts`).
 */
export function wrongGrades(q: Audited): Finding[] {
  const spread = q.placement.spread ?? DEFAULT_SIGMA
  const rows = q.placement.gradeScale.filter((row) => !NAMED.test(row.grade)).sort((a, b) => a.radius - b.radius)
  return q.placement.calls.flatMap((call, i) => {
    const view = q.views[i]!
    const corner = cornersOf(q, call)[0]
    const own = rows.find((row) => row.grade === view.grade?.name)
    if (!corner || !own || view.flat || view.hairpin || view.side !== corner.side || !isSure(call)) return []
    if ((call.mate ?? 0) !== 0) return []
    // A change that the road shows no parts of: the whole reads about half way to the second radius.
    const unsplit = view.change !== null && call.features.length === 1
    const seen =
      view.change !== null && !unsplit ? call.parts[0]! : { from: call.from, to: call.to, radius: wholeRadius(q, call) }
    const angle = turning(q.route, seen.from, seen.to)
    const radius = unsplit ? corner.radius : seen.radius
    const half = unsplit ? halfWay(rows, own, view.change!) : 0
    const sigma = Math.hypot(spread, unsplit ? HALF_SPREAD : 0)
    const steps = stepsFrom(rows, own)
    const blur = q.placement.blur
    const strayed = sigma * STRAYS_MORE
    const at = (mu: number) =>
      (1 - STRAYS) * shownDensity(Math.log(radius), mu + half, sigma, angle, blur) +
      STRAYS * shownDensity(Math.log(radius), mu + half, strayed, angle, blur)
    const off = Math.log(radius) - shownLnRadius(Math.log(own.radius) + half, angle, blur)
    const side = off < 0 ? steps.below : steps.above
    if (Math.abs(off) <= Math.abs(side[0]! - Math.log(own.radius))) return []
    const near = MEANT * at(Math.log(own.radius)) + ONE_OFF * (at(steps.below[0]!) + at(steps.above[0]!))
    const others = side.slice(1).filter((mu) => shownLnRadius(mu, angle, blur) - mu < MOST_FLATTENED)
    if (others.length === 0) return []
    const farther = others.slice(1).reduce((sum, mu) => sum + at(mu), 0) / Math.max(1, others.length - 1)
    const far = FAR_OFF * (TWO_OFF * at(others[0]!) + (1 - TWO_OFF) * farther)
    const likely = far / (far + near)
    if (!(likely > LIKELY)) return []
    const best = others.reduce((a, b) => (at(b) > at(a) ? b : a))
    const nearest = rows.reduce((a, b) =>
      Math.abs(Math.log(b.radius) - best) < Math.abs(Math.log(a.radius) - best) ? b : a,
    )
    return [
      finding(
        'grade-off',
        likely > EVEN ? 'warning' : 'hint',
        call.from,
        i,
        `${quoted(q, i)}: the road has ${radius.toFixed(0)} m here, this crew's ${own.grade} is ${own.radius.toFixed(0)} m ± ${Math.round(100 * sigma)} %; ${nearest.grade} would be ${nearest.radius.toFixed(0)} m.`,
        { radius, called: own.radius, nearest: nearest.radius, likely, sigma },
      ),
    ]
  })
}

/** ln radii of the whole grades below and above one, nearest first; beyond the scale's ends it goes on at its last step, two grades at least on each side. */
function stepsFrom(rows: readonly GradeScaleRow[], own: GradeScaleRow): { below: number[]; above: number[] } {
  const at = Math.log(own.radius)
  const whole = rows.filter((row) => !SIGNED.test(row.grade)).map((row) => Math.log(row.radius))
  const below = goOn(at, whole.filter((mu) => mu < at - LEAST_STEP).reverse(), -1)
  const above = goOn(
    at,
    whole.filter((mu) => mu > at + LEAST_STEP),
    1,
  )
  return { below, above }
}

function goOn(from: number, steps: number[], sign: -1 | 1): number[] {
  const on = [...steps]
  while (on.length < 2) {
    const last = on.at(-1) ?? from
    const step = on.length === 0 ? GRADE_STEP : Math.max(LEAST_STEP, Math.abs(last - (on.at(-2) ?? from)))
    on.push(last + sign * step)
  }
  return on
}

/** ln from the first radius to what the whole corner reads: half of the change that is said, or of the usual one. */
function halfWay(rows: readonly GradeScaleRow[], own: GradeScaleRow, change: NonNullable<CallView['change']>): number {
  const sign = change.sense === 'tightens' ? -1 : 1
  const target = rows.find((row) => row.grade === change.grade?.name)
  const whole = target ? Math.log(target.radius / own.radius) : sign * CHANGES
  return 0.5 * sign * Math.max(CHANGES / 2, sign * whole)
}

function wholeRadius(q: Audited, call: PlacedCall): Metres {
  if (call.parts.length === 1) return call.parts[0]!.radius
  return asOne(cornersOf(q, call)).radius
}

/** How much the road turns between two stations, either way. */
function turning(route: Route, from: Metres, to: Metres): Radians {
  let sum = 0
  const last = Math.min(route.curvature.length - 1, Math.round(to / route.step))
  for (let i = Math.max(0, Math.round(from / route.step)); i < last; i++)
    sum += Math.abs(route.curvature[i]!) * route.step
  return sum
}
