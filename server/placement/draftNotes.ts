import { numberedGrade, wordedGrade } from '../notes/grades.ts'
import type { Grade, GradeSystem } from '../notes/notes.ts'
import type { CornerFeature, Route } from '../route/route.ts'
import { type Metres, type Radians, YARD } from '../units.ts'
import { pCalled } from './likelihood.ts'
import type { GradeScaleRow } from './placement.ts'
import { blurOf, shownDensity } from './shownRadius.ts'

/** The first line of every draft: it stays in the text until the crew takes it out. */
export const DRAFT_MARK = '# DRAFT drawn up from the road by Say When. Not pace notes: only recce can make notes of it.'

export interface DraftOptions {
  readonly system: GradeSystem
  /** The crew's own radii, where they are known from other notes; the table's else. */
  readonly scale?: readonly GradeScaleRow[]
  readonly distances?: 'metres' | 'yards'
}

/** Same-side parts this near belong to one corner, and are alike when their radii differ by less than this (ln). */
const JOINS: Metres = 8
const ALIKE = 0.25
/** Wider than this, or turning less, or called by fewer crews than this, a bend is left out (docs/method/placement.md). */
const WIDEST: Metres = 250
const LEAST_TURN: Radians = 0.15
const LEAST_CALLED = 0.4
/** Length words (docs/method/placement.md). */
const LONG: Radians = 1.25
const VERY_LONG: Radians = 2.2
/** A hairpin turns more than this and is tighter than this. */
const HAIRPIN_TURN: Radians = 2.2
const HAIRPIN_RADIUS: Metres = 16
/** How far crews' radii of one grade spread, σ of ln R: between a steady crew's 0.04 and the 0.15 of docs/method/placement.md. */
const SPREAD = 0.13
const CAREFUL = 0.45
/** Gaps said as into, and as and. */
const INTO: Metres = 12
const AND: Metres = 25

interface Corner {
  readonly parts: CornerFeature[]
  readonly from: Metres
  to: Metres
  angle: Radians
}
interface Grades {
  readonly rows: readonly { readonly grade: Grade; readonly mu: number }[]
  readonly blur: number
}
type Item = { readonly from: Metres; readonly to: Metres; readonly says: string }

/**
 * Notes drawn up from a road that has none, in the crew's grade system, one call a line, marked as a draft in its first line (docs/method/placement.md).
 * `corners` counts what is called; `left` the bends left out as too gentle. Never throws on a road without corners: there is start and finish.
 */
export function draftNotes(route: Route, options: DraftOptions): { text: string; corners: number; left: number } {
  const all = route.features.filter((feature): feature is CornerFeature => feature.kind === 'corner')
  const called = all.filter(
    (corner) => corner.radius <= WIDEST && corner.angle >= LEAST_TURN && pCalled(corner) >= LEAST_CALLED,
  )
  const corners = joined(called)
  const grades = gradesOf(route, options)
  const items: Item[] = corners.map((corner) => ({
    from: corner.from,
    to: corner.to,
    says: cornerWords(route, corner, grades, options.system),
  }))
  for (const crest of route.features)
    if (crest.kind === 'crest' && !corners.some((corner) => crest.at > corner.from - 5 && crest.at < corner.to))
      items.push({ from: crest.at, to: crest.at, says: 'over crest' })
  items.sort((a, b) => a.from - b.from)
  const lines = [DRAFT_MARK]
  let line = 'start'
  let at = 0
  for (const item of [...items, { from: route.length, to: route.length, says: 'finish' }]) {
    lines.push(`${line} ${gapWords(item.from - at, line === 'start', options.distances ?? 'metres')}`)
    line = item.says
    at = item.to
  }
  lines.push(line)
  return { text: `${lines.join('\n')}\n`, corners: corners.length, left: all.length - called.length }
}

function joined(features: readonly CornerFeature[]): Corner[] {
  const corners: Corner[] = []
  for (const feature of features) {
    const last = corners.at(-1)
    const part = last?.parts.at(-1)
    if (last && part && part.side === feature.side && feature.from - last.to < JOINS) {
      last.to = feature.to
      last.angle += feature.angle
      if (Math.abs(Math.log(feature.radius / part.radius)) < ALIKE) {
        const angle = part.angle + feature.angle
        const radius = (part.radius * part.angle + feature.radius * feature.angle) / angle
        last.parts[last.parts.length - 1] = { ...part, to: feature.to, angle, radius }
      } else last.parts.push(feature)
    } else corners.push({ parts: [feature], from: feature.from, to: feature.to, angle: feature.angle })
  }
  return corners
}

/** The grades of a system by ln radius, the crew's own where known. Degrees are drafted as numbers: a log shows no junctions. */
function gradesOf(route: Route, { system, scale }: DraftOptions): Grades {
  const grades =
    system.style === 'words'
      ? ['very slow', 'slow', 'medium', 'easy', 'fast', 'flat'].map((word) => wordedGrade(word, null))
      : Array.from({ length: system.scale }, (_, i) => numberedGrade(i + 1, null, system))
  const rows = grades.map((grade) => ({
    grade,
    mu: Math.log(scale?.find((row) => row.grade === grade.name)?.radius ?? grade.radius),
  }))
  rows.sort((a, b) => a.mu - b.mu)
  return { rows, blur: blurOf(route) }
}

/**
 * The grade that shows so, on the careful side: the tightest from which on less than CAREFUL of the posterior is left for tighter ones. A short bend that a
 * log flattens may be tighter than it reads (`shownRadius.ts`).
 */
function carefulGrade(grades: Grades, part: CornerFeature): Grade {
  const at = grades.rows.map((row) => shownDensity(Math.log(part.radius), row.mu, SPREAD, part.angle, grades.blur))
  const total = at.reduce((sum, one) => sum + one, 0)
  let tighter = 0
  for (let g = 0; g < at.length; g++) {
    tighter += at[g]!
    if (tighter >= CAREFUL * total) return grades.rows[g]!.grade
  }
  return grades.rows.at(-1)!.grade
}

function cornerWords(route: Route, corner: Corner, grades: Grades, system: GradeSystem): string {
  const first = corner.parts[0]!
  const last = corner.parts.at(-1)!
  const hairpin = corner.angle > HAIRPIN_TURN && first.radius < HAIRPIN_RADIUS
  const grade = carefulGrade(grades, first)
  const name = hairpin ? 'hairpin' : grade.name
  const words = [system.order === 'side-first' ? `${first.side} ${name}` : `${name} ${first.side}`]
  if (!hairpin && corner.angle > VERY_LONG) words.push('very long')
  else if (!hairpin && corner.angle > LONG) words.push('long')
  if (corner.parts.length > 1) {
    const to = carefulGrade(grades, last)
    const sense = last.radius < first.radius ? 'tightens' : 'opens'
    words.push(to.name === grade.name || hairpin ? sense : `${sense} ${to.name}`)
  }
  const crest = route.features.some((one) => one.kind === 'crest' && one.at > corner.from - 5 && one.at < corner.to)
  if (crest) words.push('over crest')
  return words.join(' ')
}

function gapWords(gap: Metres, first: boolean, unit: 'metres' | 'yards'): string {
  if (!first && gap < INTO) return 'into'
  if (!first && gap < AND) return 'and'
  return String(Math.max(10, Math.round(gap / (unit === 'yards' ? YARD : 1) / 10) * 10))
}
