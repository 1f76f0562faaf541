import type { Alignment, Place } from './align.ts'
import type { CallView } from './callView.ts'
import { DEFAULT_SIGMA, type Scale } from './likelihood.ts'
import type { GradeScaleRow } from './placement.ts'

/** How far a crew's own radii stray from the table's: together, and each grade by itself (variances of ln R, placement.md §2). */
const SHARED = 0.25 ** 2 / 2
const OWN = 0.15 ** 2
const PRIOR_SIGMA = 0.2
const PRIOR_WEIGHT = 12
/** Beyond this many σ a matched radius says nothing of the grade. */
const OUTLYING = 2.5

export const startScale = (): Scale => ({ mu: new Map(), sigma: DEFAULT_SIGMA, odometer: 1 })

/** The crew's radius for each grade with its spread, and the odometer, from calls matched one to one, weighted by their posterior. */
export function fitGradeScale(q: {
  calls: readonly CallView[]
  places: readonly Place[]
  found: Alignment
  scale: Scale
}): { scale: Scale; rows: GradeScaleRow[] } {
  const grades = new Map<
    string,
    { standard: number; flat: boolean; hard: boolean; w: number; sum: number; values: { x: number; w: number }[] }
  >()
  q.calls.forEach((call, i) => {
    const on = q.found.places[i]!
    const feature = on.length === 1 ? q.places[on[0]!]!.feature : null
    if (call.kind !== 'corner' || call.grade === null || feature?.kind !== 'corner' || feature.side !== call.side)
      return
    const x = Math.log(feature.radius)
    const mu = q.scale.mu.get(call.grade.name) ?? Math.log(call.grade.radius)
    const w = q.found.posterior[i]!
    if (Math.abs(x - mu) > OUTLYING * q.scale.sigma) return
    const row = grades.get(call.grade.name) ?? {
      standard: Math.log(call.grade.radius),
      flat: call.flat,
      hard: call.hairpin || call.grade.name === 'square',
      w: 0,
      sum: 0,
      values: [],
    }
    row.w += w
    row.sum += w * x
    row.values.push({ x, w })
    grades.set(call.grade.name, row)
  })
  const sigma2 = q.scale.sigma ** 2
  const soft = [...grades.values()].filter((row) => !row.hard && !row.flat && row.w > 0)
  // One shift for all grades first, then each grade's own: the shared prior in two steps.
  const precision = soft.reduce((sum, row) => sum + 1 / (OWN + sigma2 / row.w), 0)
  const shift =
    soft.reduce((sum, row) => sum + (row.sum / row.w - row.standard) / (OWN + sigma2 / row.w), 0) /
    (precision + 1 / SHARED)
  const mu = new Map<string, number>()
  let squares = PRIOR_WEIGHT * PRIOR_SIGMA ** 2
  let weight = PRIOR_WEIGHT
  const rows: GradeScaleRow[] = []
  for (const [name, row] of grades) {
    if (row.w <= 0) continue
    const prior = row.standard + (row.hard || row.flat ? 0 : shift)
    const fitted = row.flat ? row.standard : prior + (OWN / (OWN + sigma2 / row.w)) * (row.sum / row.w - prior)
    mu.set(name, fitted)
    const own = row.values.reduce((sum, { x, w }) => sum + w * (x - fitted) ** 2, 0)
    if (!row.flat) {
      squares += own
      weight += row.w
    }
    rows.push({
      grade: name,
      radius: Math.exp(fitted),
      spread: Math.sqrt((own + 0.02) / (row.w + 1)),
      calls: row.values.length,
    })
  }
  const sigma = Math.min(0.5, Math.max(0.08, Math.sqrt(squares / weight)))
  return { scale: { mu, sigma, odometer: fitOdometer(q) }, rows: rows.sort((a, b) => a.radius - b.radius) }
}

/** Called over road distance, robustly (Cauchy-like weights), pulled to 1 ± 0.1. */
function fitOdometer(q: {
  calls: readonly CallView[]
  places: readonly Place[]
  found: Alignment
  scale: Scale
}): number {
  const pairs: { said: number; gap: number }[] = []
  for (let i = 0; i + 1 < q.calls.length; i++) {
    const here = q.found.places[i]!
    const next = q.found.places[i + 1]!
    const sure = (k: number) => k === 0 || k === q.calls.length - 1 || q.found.posterior[k]! >= 0.5
    if (here.length === 0 || next.length === 0 || q.calls[i]!.distance <= 0 || !sure(i) || !sure(i + 1)) continue
    const gap = q.places[next[0]!]!.from - q.places[here.at(-1)!]!.to
    if (gap > 20) pairs.push({ said: q.calls[i]!.distance, gap })
  }
  let s = q.scale.odometer
  for (let round = 0; round < 5; round++) {
    let top = 1 / 0.1 ** 2
    let bottom = 1 / 0.1 ** 2
    for (const { said, gap } of pairs) {
      const sd = 8 + 0.06 * gap
      const w = 1 / (1 + ((said - s * gap) / sd / 2) ** 2) / sd ** 2
      top += w * said * gap
      bottom += w * gap * gap
    }
    s = top / bottom
  }
  return s
}
