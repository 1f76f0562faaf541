import { boundedIsotonic } from '../numeric/boundedIsotonic.ts'
import type { CornerFeature } from '../route/route.ts'
import type { Metres } from '../units.ts'
import type { Alignment, Place } from './align.ts'
import type { CallView } from './callView.ts'
import { DEFAULT_SIGMA, meantShare, type Scale } from './likelihood.ts'
import type { GradeScaleRow } from './placement.ts'
import { asOne } from './places.ts'
import { endExcess } from './shownEnds.ts'
import { shownLnRadius, shownSpread } from './shownRadius.ts'

/** How far a crew's own radii stray from the table's: together, and each grade by itself (variances of ln R, docs/method/placement.md). */
const SHARED = 0.25 ** 2 / 2
const OWN = 0.15 ** 2
const PRIOR_SIGMA = 0.2
const PRIOR_WEIGHT = 12
const LEAST_SIGMA = 0.08
const MOST_SIGMA = 0.5
/** A grade's own spread leans on the crew's by so many calls. */
const SPREAD_WEIGHT = 2
/** How far a crew's odometer and its corners' ends stray from the road's (docs/method/placement.md). */
const ODOMETER_SIGMA = 0.1
const ENDS_SIGMA: Metres = 1.5
/** Shorter gaps say nothing of an odometer. */
const LEAST_GAP: Metres = 20
/** ln of how much wider than it is a corner may be shown and still tell its grade. */
const MOST_FLATTENED = 0.3

export const startScale = (blur = 0): Scale => ({ mu: new Map(), sigma: DEFAULT_SIGMA, odometer: 1, blur })

interface Matched {
  readonly calls: readonly CallView[]
  readonly places: readonly Place[]
  readonly found: Alignment
  readonly scale: Scale
}

/** A matched radius: what of its scatter is the crew's own, and what the road's making put in. */
interface Value {
  readonly x: number
  /** Chance that it is of this grade. */
  readonly meant: number
  /** Share of the crew's variance in the whole, σ²/(σ² + σ_road²). */
  readonly own: number
  readonly road2: number
  /** Weight in the mean: meant · own. */
  readonly w: number
}

interface Row {
  readonly name: string
  /** ln of the table's radius. */
  readonly standard: number
  /** A junction's or a hairpin's radius is no part of the crew's scale of speed: it takes no share in the common shift. */
  readonly hard: boolean
  /** One-sided: what is flat has no radius to fit. */
  readonly flat: boolean
  readonly values: Value[]
  w: number
  sum: number
}

/**
 * The M step (docs/method/placement.md): ln radius of each grade, weighted by the posterior of each way of placing it and by the chance that the grade
 * was meant. μ = default + C(C + diag(σ²/w))⁻¹(mean − default), C = shared + own; put in order by pooling adjacent violators. A radius weighs w = p·k,
 * p the chance that its grade was meant, k = σ²/(σ² + σ_road²); σ² = (12·0.2² + Σ p(k²r² + kσ_road²))/(12 + Σ p). Odometer and ends are fitted apart.
 */
export function fitGradeScale(q: Matched): { scale: Scale; rows: GradeScaleRow[] } {
  const grades = gather(q)
  const sigma2 = q.scale.sigma ** 2
  const soft = grades.filter((row) => !row.hard && !row.flat)
  // C is one shift for all and one for each, so the inverse is taken in two steps: the shift first, then each grade's own.
  const precision = soft.reduce((sum, row) => sum + 1 / (OWN + sigma2 / row.w), 0)
  const shift =
    soft.reduce((sum, row) => sum + (row.sum / row.w - row.standard) / (OWN + sigma2 / row.w), 0) /
    (precision + 1 / SHARED)
  const fitted = grades.map((row) => {
    if (row.flat) return row.standard
    const prior = row.standard + (row.hard ? 0 : shift)
    return prior + (OWN / (OWN + sigma2 / row.w)) * (row.sum / row.w - prior)
  })
  const ordered = inOrder(grades, fitted)
  let squares = PRIOR_WEIGHT * PRIOR_SIGMA ** 2
  let weight = PRIOR_WEIGHT
  const own = grades.map((row, g) => {
    let r2 = 0
    let n = 0
    for (const { x, meant, own, road2 } of row.values) {
      r2 += meant * own * (own * (x - ordered[g]!) ** 2 + road2)
      n += meant
    }
    if (!row.flat) {
      squares += r2
      weight += n
    }
    return { r2, n }
  })
  const sigma = Math.min(MOST_SIGMA, Math.max(LEAST_SIGMA, Math.sqrt(squares / weight)))
  const rows = grades.map(
    (row, g): GradeScaleRow => ({
      grade: row.name,
      radius: Math.exp(ordered[g]!),
      spread: Math.sqrt((own[g]!.r2 + SPREAD_WEIGHT * sigma ** 2) / (own[g]!.n + SPREAD_WEIGHT)),
      calls: row.values.filter((one) => one.meant >= 0.5).length,
      table: Math.exp(row.standard),
    }),
  )
  const mu = new Map(grades.map((row, g) => [row.name, ordered[g]!]))
  return { scale: { mu, sigma, ...fitOdometer(q), ...(q.scale.blur ? { blur: q.scale.blur } : {}) }, rows }
}

/** Matched radii of each grade, by the table's radius, tightest first. Wrong directions say nothing of grades. */
function gather(q: Matched): Row[] {
  const sigma2 = q.scale.sigma ** 2
  const grades = new Map<string, Row>()
  q.calls.forEach((call, i) => {
    if (call.kind !== 'corner' || call.grade === null) return
    for (const node of q.found.nodes[i]!) {
      if (node.mate !== 0) continue
      const shown = lnRadiusShown(q.places, node.places, call)
      if (shown === null) continue
      const standard = Math.log(call.grade.radius)
      const mu = q.scale.mu.get(call.grade.name) ?? standard
      // What the road flattens is taken off again; where it flattens most of it, the radius says nothing.
      const flattened = shownLnRadius(mu, shown.angle, q.scale.blur) - mu
      if (flattened > MOST_FLATTENED) continue
      const x = shown.lnR - flattened
      const road2 = shownSpread(mu, shown.angle, q.scale.blur) ** 2
      const meant = node.mass * meantShare(mu, call.flat, x, Math.sqrt(sigma2 + road2))
      const own = sigma2 / (sigma2 + road2)
      const w = meant * own
      if (!(w > 1e-3)) continue
      const row = grades.get(call.grade.name) ?? {
        name: call.grade.name,
        standard,
        hard: call.hairpin || call.grade.name === 'square' || call.grade.name.endsWith('°'),
        flat: call.flat,
        values: [],
        w: 0,
        sum: 0,
      }
      row.values.push({ x, w, meant, own, road2 })
      row.w += w
      row.sum += w * x
      grades.set(call.grade.name, row)
    }
  })
  return [...grades.values()].sort((a, b) => a.standard - b.standard)
}

/** ln of the radius that the call's own grade stands for: of the first part where the call says it changes, of the whole else. */
function lnRadiusShown(
  places: readonly Place[],
  on: readonly number[],
  call: CallView,
): { lnR: number; angle: number } | null {
  const corners = on
    .map((p) => places[p]!.feature)
    .filter((feature): feature is CornerFeature => feature?.kind === 'corner')
  if (corners.length === 0 || corners.some((corner) => corner.side !== call.side)) return null
  if (call.change) return { lnR: Math.log(corners[0]!.radius), angle: corners[0]!.angle }
  const { radius, angle } = asOne(corners)
  return { lnR: Math.log(radius), angle }
}

/** Faster grades have no lesser radius: pool adjacent violators, weighted. Grades of one table radius keep their own. */
function inOrder(grades: readonly Row[], fitted: readonly number[]): readonly number[] {
  if (grades.length === 0) return fitted
  const free = grades.map(() => Number.POSITIVE_INFINITY)
  return Array.from(
    boundedIsotonic({
      preferred: fitted,
      weight: grades.map((row) => row.w),
      low: free.map((bound) => -bound),
      high: free,
    }),
  )
}

/**
 * Called over road distance, and by how much more than the road's gaps the crew measures: said = s·(gap + b), robustly (Cauchy-like weights), s pulled
 * to 1 ± 0.1 and b to 0 ± 1.5 m. Gaps are taken between ends as they are, not as a log shows them.
 */
function fitOdometer(q: Matched): { odometer: number; ends: Metres } {
  const pairs: { said: number; gap: number }[] = []
  const surest = q.found.nodes.map((nodes) => nodes.reduce((most, node) => Math.max(most, node.mass), 0))
  const excess = (i: number, place: Place): Metres =>
    place.feature?.kind === 'corner' && q.calls[i]!.kind === 'corner'
      ? endExcess(q.calls[i]!, place.feature.radius, place.feature.angle, q.scale)
      : 0
  for (let i = 0; i + 1 < q.calls.length; i++) {
    const here = q.found.places[i]!
    const next = q.found.places[i + 1]!
    const sure = (k: number) => k === 0 || k === q.calls.length - 1 || surest[k]! >= 0.5
    if (here.length === 0 || next.length === 0 || q.calls[i]!.distance <= 0 || !sure(i) || !sure(i + 1)) continue
    const from = q.places[here.at(-1)!]!
    const to = q.places[next[0]!]!
    const gap = to.from - from.to
    if (gap > LEAST_GAP) pairs.push({ said: q.calls[i]!.distance, gap: gap + excess(i, from) + excess(i + 1, to) })
  }
  let odometer = q.scale.odometer
  let ends = q.scale.ends ?? 0
  for (let round = 0; round < 5; round++) {
    // said = s·gap + c, c = s·b: two normal equations.
    let gg = 1 / ODOMETER_SIGMA ** 2
    let gs = 1 / ODOMETER_SIGMA ** 2
    let g = 0
    let one = 1 / ENDS_SIGMA ** 2
    let said1 = 0
    for (const { said, gap } of pairs) {
      const sd = 8 + 0.06 * gap
      const w = 1 / (1 + ((said - odometer * (gap + ends)) / sd / 2) ** 2) / sd ** 2
      gg += w * gap * gap
      gs += w * said * gap
      g += w * gap
      one += w
      said1 += w * said
    }
    const whole = gg * one - g * g
    odometer = (gs * one - said1 * g) / whole
    ends = (said1 * gg - gs * g) / whole / odometer
  }
  return { odometer, ends }
}
