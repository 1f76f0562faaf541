import { Builder } from './buildElement.ts'
import { type Doubt, findDoubts } from './doubts.ts'
import type { Repair } from './lattice.ts'
import { Lexemes } from './lexemes.ts'
import type { Lexicon } from './lexicon.ts'
import { type DistanceCost, Matches } from './matches.ts'
import type { Diagnostic, Fix, GradeSystem } from './notes.ts'
import { lostCommas, oddPlaces } from './oddPlaces.ts'
import { Reader } from './readPath.ts'
import { repairLattice } from './repairLattice.ts'
import type { Token } from './tokens.ts'

const ANGLES = new Set([45, 75, 135])
/** What a recogniser writes and a typing hand hardly ever does; after a word, only what makes it so. */
const RECOGNISER_WORDS = new Set(['for', 'write', 'rite', 'too', 'um', 'erm', 'won', 'ate', 'passed', 'threw', 'sicks'])
const RECOGNISER_PAIRS = new Set(['to left', 'to right', 'of a', 'in side', 'out side', 'hair pin', 'in two'])
const MARKS_OF_DICTATION = 2

/** Two marks of a recogniser: one of its words, or a side after a two-digit number that is neither a distance nor an angle. */
export function looksDictated(tokens: readonly Token[]): boolean {
  let marks = 0
  for (let i = 0; i < tokens.length && marks < MARKS_OF_DICTATION; i++) {
    const { text } = tokens[i]!
    if (RECOGNISER_WORDS.has(text)) marks++
    const after = tokens[i + 1]
    if (after === undefined || after.before > 0) continue
    if (RECOGNISER_PAIRS.has(`${text} ${after.text}`)) marks++
    else if (/^\d?[1-9][1-9]$/.test(text) && !ANGLES.has(Number(text)) && isSide(after.text)) marks++
  }
  return marks >= MARKS_OF_DICTATION
}

const isSide = (word: string) => word === 'left' || word === 'right'

/**
 * A repair is certain when every other reading is this much dearer, and the guess itself no dearer than that: near sounds need more room than listed
 * homophones, joins and splits, since the true word may not be among the guesses (set on 80 stages of the noise channel, checked on others).
 */
const CERTAIN = { listed: { margin: 1.2, cost: 1.9 }, sound: { margin: 1.5, cost: 2.7 } } as const
/** As written, another reading this near is offered beside the best. */
const CLOSE_TYPED = 0.35
const CLOSE_DICTATED = 0.8

export interface Repaired {
  readonly builder: Builder
  readonly path: readonly number[]
  readonly diagnostics: readonly Diagnostic[]
}

/** The best reading with guesses allowed, a diagnostic for each guess it took, and one for each place where another reading is close. */
export function repairNotes(q: {
  readonly tokens: readonly Token[]
  readonly lexicon: Lexicon
  readonly text: string
  readonly dictated: boolean
  readonly unit: number
  readonly distanceCost: DistanceCost
  readonly prices: Float64Array
  readonly system: GradeSystem
}): Repaired {
  const lattice = repairLattice(q.tokens, q.lexicon, q.dictated)
  const matches = new Matches(new Lexemes(lattice, q.lexicon, q.dictated), q.dictated, q.unit, q.distanceCost)
  const reader = new Reader(matches, q.prices)
  const path = reader.best()
  const builder = new Builder(matches, q.system, q.unit)
  const doubts = findDoubts(reader, builder, path, CERTAIN.sound.margin)
  const guesses = new Set(path.flatMap((match) => builder.repairsOf(match)))
  const repairs = [...guesses].map((repair) => repairDiagnostic(repair, doubts, builder, q.text))
  const close = q.dictated ? CLOSE_DICTATED : CLOSE_TYPED
  const ambiguous = ambiguities(doubts, builder, q.text, close, repairs)
  const doubtful = [...repairs, ...ambiguous]
  const odd = oddPlaces(reader, builder, path, q.text, doubtful)
  const commas = q.dictated ? lostCommas(builder, path, q.text) : []
  return { builder, path, diagnostics: [...doubtful, ...odd, ...commas] }
}

function repairDiagnostic(repair: Repair, doubts: readonly Doubt[], builder: Builder, text: string): Diagnostic {
  const { code, from, to, insert, cost } = repair
  const doubt = doubts.find(
    (one) => one.from < to && one.to > from && !one.other.some((match) => builder.repairsOf(match).includes(repair)),
  )
  const needed = code === 'sound' ? CERTAIN.sound : CERTAIN.listed
  const margin = doubt?.margin ?? CERTAIN.sound.margin
  const certain = code !== 'teen' && !repair.rivalled && margin >= needed.margin && cost <= needed.cost
  const written = text.slice(from, to)
  const other =
    doubt === undefined || certain ? '' : `; it may also be "${readingText(doubt.other, doubt.best, builder, text)}"`
  const others = doubt === undefined || certain ? [] : [fixOf(doubt, doubt.other, doubt.best, builder, text)]
  return {
    severity: certain ? 'info' : 'warning',
    code,
    message: certain ? `"${written}" is read as "${insert}".` : `"${written}" may have been "${insert}"${other}.`,
    from,
    to,
    fix: { label: `make it "${insert}"`, from, to, insert },
    ...(others.length > 0 && others[0]!.insert !== text.slice(others[0]!.from, others[0]!.to) ? { others } : {}),
    certain,
    margin,
  }
}

/** Places read as written where another reading is close: both are offered, the text is left. */
function ambiguities(
  doubts: readonly Doubt[],
  builder: Builder,
  text: string,
  close: number,
  already: readonly Diagnostic[],
): Diagnostic[] {
  const found: Diagnostic[] = []
  for (const doubt of doubts) {
    if (doubt.margin >= close) break
    const overlaps = (one: Diagnostic) => one.from < doubt.to && one.to > doubt.from
    if (found.some(overlaps) || already.some(overlaps)) continue
    const best = fixOf(doubt, doubt.best, doubt.other, builder, text)
    const other = fixOf(doubt, doubt.other, doubt.best, builder, text)
    const written = text.slice(doubt.from, doubt.to).replace(/\s+/g, ' ')
    const says = (matches: readonly number[]) => matches.map((match) => builder.said(match).value).join(', ')
    found.push({
      severity: 'warning',
      code: 'ambiguous',
      message: `"${written}" is read as "${says(doubt.best)}"; it may also be "${says(doubt.other)}".`,
      from: doubt.from,
      to: doubt.to,
      others: [best, other].filter((fix) => fix.insert !== text.slice(fix.from, fix.to)),
      certain: false,
      margin: doubt.margin,
    })
  }
  return found
}

function fixOf(doubt: Doubt, own: readonly number[], against: readonly number[], builder: Builder, text: string): Fix {
  const insert = readingText(own, against, builder, text)
  const from = Math.min(...own.map((match) => builder.from(match)), doubt.from)
  return { label: `make it "${insert.replace(/\s+/g, ' ')}"`, from, to: doubt.to, insert }
}

/** A reading written so that it can only be read so: its guesses put in, and a comma where the other reading goes on and this one does not. */
function readingText(own: readonly number[], against: readonly number[], builder: Builder, text: string): string {
  const joined = new Set(against.map((match) => builder.from(match)))
  let written = ''
  let at = -1
  for (const match of own) {
    const from = builder.from(match)
    if (at >= 0) {
      const gap = text.slice(at, from)
      written += joined.has(from) || /[,.;:\n]/.test(gap) ? gap : ', '
    }
    let place = from
    for (const repair of builder.repairsOf(match)) {
      if (repair.from < place) continue
      written += text.slice(place, repair.from) + repair.insert
      place = repair.to
    }
    const to = builder.to(match)
    written += text.slice(Math.min(place, to), to)
    at = Math.max(place, to)
  }
  return written
}
