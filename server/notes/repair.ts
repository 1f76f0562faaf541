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
const RECOGNISER_PAIRS = new Set(['to left', 'to right', 'of a', 'in side', 'out side', 'hair pin', 'in two', 'in to'])
const RECOGNISER_NUMBERS = /^(?:twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety|hundred)$/
const MARKS_OF_DICTATION = 2
/** A typing hand parts its calls; nobody writes this many words for every comma or line end. */
const RUN_ON_WORDS = 7
/** So many are mark enough by themselves. */
const ENDLESS_WORDS = 12
const RUN_ON_LEAST = 40

/** Nobody speaks in shorthand: a text with more of it than one in so many words was typed, however it runs on. */
const SHORTHAND_WORDS = 20

/**
 * Two marks of a recogniser: one of its words, a side after a two-digit number that is neither a distance nor an angle, distances in words, or a text
 * that runs on and on without commas.
 */
export function looksDictated(tokens: readonly Token[]): boolean {
  let marks = 0
  let parted = 0
  let inWords = false
  let shorthand = 0
  for (let i = 0; i < tokens.length && marks < MARKS_OF_DICTATION; i++) {
    const { text } = tokens[i]!
    if (tokens[i]!.before > 0) parted++
    if (tokens[i]!.glued || /^[^\p{L}\d]/u.test(text)) shorthand++
    if (!inWords && RECOGNISER_NUMBERS.test(text)) {
      inWords = true
      marks++
    }
    if (RECOGNISER_WORDS.has(text)) marks++
    const after = tokens[i + 1]
    if (after === undefined || after.before > 0) continue
    if (RECOGNISER_PAIRS.has(`${text} ${after.text}`)) marks++
    else if (/^\d?[1-9][1-9]$/.test(text) && !ANGLES.has(Number(text)) && isSide(after.text)) marks++
  }
  if (tokens.length >= RUN_ON_LEAST && tokens.length > SHORTHAND_WORDS * shorthand) {
    if (tokens.length > RUN_ON_WORDS * parted) marks++
    if (tokens.length > ENDLESS_WORDS * parted) marks++
  }
  return marks >= MARKS_OF_DICTATION
}

const isSide = (word: string) => word === 'left' || word === 'right'

/**
 * A repair is certain when every other reading is this much dearer and the guess itself no dearer than that: a dearer guess needs more room, and near
 * sounds more than listed homophones, joins and splits, since the true word may not be among the guesses (how they were set: docs/method/notes.md).
 */
const CERTAIN: Readonly<Record<'listed' | 'sound', readonly { readonly margin: number; readonly cost: number }[]>> = {
  listed: [
    { margin: 0.8, cost: 1.2 },
    { margin: 1.8, cost: 1.9 },
  ],
  sound: [
    { margin: 0.7, cost: 2 },
    { margin: 2.5, cost: 2.5 },
  ],
}
/** Second readings further off than this are not looked for. */
const FURTHEST = 3

/** Distances that show a crew says fives and tens only. */
const ENOUGH_ROUND = 8
const TEEN_MARGIN = 0.8

/** `round`: the crew's distances are fives and tens, so that thirteen is none of them; fifteen may be. */
function isCertain({ code, cost, insert }: Repair, margin: number, round: boolean): boolean {
  if (code === 'teen') return round && !insert.endsWith('fifty') && margin >= TEEN_MARGIN
  return CERTAIN[code === 'sound' ? 'sound' : 'listed'].some((one) => margin >= one.margin && cost <= one.cost)
}

/** As written, another reading this near is offered beside the best. */
const CLOSE_TYPED = 0.35
const CLOSE_DICTATED = 1
/** Numbers are what recognisers get wrong without a trace: fifteen for fifty, 130 for 1 and 30. */
const CLOSE_NUMBER = 2

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
  const doubts = findDoubts(reader, builder, path, FURTHEST)
  const guesses = new Set(path.flatMap((match) => builder.repairsOf(match)))
  const round = saysRoundDistances(builder, path)
  const repairs = [...guesses].map((repair) => repairDiagnostic(repair, doubts, builder, q.text, round))
  const ambiguous = ambiguities(doubts, builder, q.text, q.dictated, repairs)
  const doubtful = [...repairs, ...ambiguous]
  const odd = oddPlaces(reader, builder, path, q.text, doubtful)
  const commas = q.dictated ? lostCommas(builder, path, q.text) : []
  return { builder, path, diagnostics: [...doubtful, ...odd, ...commas] }
}

/** Whether all distances of a reading but guessed ones are fives and tens, and there are enough of them to tell. */
function saysRoundDistances(builder: Builder, path: readonly number[]): boolean {
  let count = 0
  for (const match of path) {
    const { kind, words } = builder.said(match)
    if (kind !== 'distance' || !words[0]?.startsWith('#') || builder.repairsOf(match).length > 0) continue
    if (Number(words[0].slice(1)) % 5 !== 0) return false
    count++
  }
  return count >= ENOUGH_ROUND
}

function repairDiagnostic(
  repair: Repair,
  doubts: readonly Doubt[],
  builder: Builder,
  text: string,
  round: boolean,
): Diagnostic {
  const { code, from, to, insert } = repair
  const doubt = doubts.find(
    (one) => one.from < to && one.to > from && !one.other.some((match) => builder.repairsOf(match).includes(repair)),
  )
  const margin = doubt?.margin ?? FURTHEST
  const certain = isCertain(repair, margin, round)
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
  dictated: boolean,
  already: readonly Diagnostic[],
): Diagnostic[] {
  const close = dictated ? CLOSE_DICTATED : CLOSE_TYPED
  const found: Diagnostic[] = []
  for (const doubt of doubts) {
    if (doubt.margin >= CLOSE_NUMBER) break
    if (doubt.margin >= close && !(dictated && ofNumbers(doubt, builder))) continue
    const overlaps = (one: Diagnostic) => one.from < doubt.to && one.to > doubt.from
    if (found.some(overlaps) || already.some(overlaps)) continue
    // The same words left unread are no other reading.
    if (valuesOf(doubt.best, builder) === valuesOf(doubt.other, builder)) continue
    const best = fixOf(doubt, doubt.best, doubt.other, builder, text)
    const other = fixOf(doubt, doubt.other, doubt.best, builder, text)
    const written = text.slice(doubt.from, doubt.to).replace(/\s+/g, ' ')
    found.push({
      severity: 'warning',
      code: 'ambiguous',
      message: `"${written}" is read as "${valuesOf(doubt.best, builder)}"; it may also be "${valuesOf(doubt.other, builder)}".`,
      from: doubt.from,
      to: doubt.to,
      others: [best, other].filter((fix) => fix.insert !== text.slice(fix.from, fix.to)),
      certain: false,
      margin: doubt.margin,
    })
  }
  return found
}

const valuesOf = (matches: readonly number[], builder: Builder) =>
  matches.map((match) => builder.said(match).value).join(', ')

const ofNumbers = (doubt: Doubt, builder: Builder): boolean =>
  doubt.other.some((match) => builder.repairsOf(match).some(({ code }) => code === 'teen' || code === 'split-number'))

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
