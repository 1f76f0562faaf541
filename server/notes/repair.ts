import type { Repair } from './lattice.ts'
import type { Lexicon } from './lexicon.ts'
import type { Match } from './match.ts'
import type { Diagnostic } from './notes.ts'
import { LatticeReader, type ReadingSettings } from './readPath.ts'
import { repairLattice } from './repairLattice.ts'
import type { Token } from './tokens.ts'

const ANGLES = new Set([45, 75, 135])
const RECOGNISER_WORDS = new Set(['for', 'write', 'rite', 'too'])
const MARKS_OF_DICTATION = 2

/** Two marks of a recogniser: `for write rite too`, or a side after a two-digit number that is neither a distance nor an angle. */
export function looksDictated(tokens: readonly Token[]): boolean {
  let marks = 0
  for (let i = 0; i < tokens.length && marks < MARKS_OF_DICTATION; i++) {
    const { text } = tokens[i]!
    if (RECOGNISER_WORDS.has(text)) marks++
    else if (/^[1-9][1-9]$/.test(text) && !ANGLES.has(Number(text))) {
      const after = tokens[i + 1]?.text
      if (after === 'left' || after === 'right') marks++
    }
  }
  return marks >= MARKS_OF_DICTATION
}

/** A repair is certain when every other reading is this much dearer, and the guess itself no dearer than that (notes-grammar §5). */
const CERTAIN_MARGIN = 1.2
const CERTAIN_COST = 1.9
/** Elements on each side within which another reading may come back to the best one. */
const REACH = 4

/** The best reading with guesses allowed, and a diagnostic for each guess it took. Null where nothing was guessed. */
export function repairNotes(q: {
  tokens: readonly Token[]
  lexicon: Lexicon
  settings: ReadingSettings
  text: string
}): { matches: readonly Match[]; diagnostics: readonly Diagnostic[] } | null {
  const lattice = repairLattice(q.tokens, q.lexicon, q.settings.dictated)
  const reader = new LatticeReader(lattice, q.lexicon, q.settings)
  const path = reader.read(0, q.tokens.length)
  if (path === null) return null
  const starts: number[] = [0]
  for (const match of path.matches) starts.push(match.next)
  const seen = new Set<Repair>()
  const diagnostics = path.matches.flatMap((match, at) =>
    match.repairs.flatMap((repair) => {
      if (seen.has(repair)) return []
      seen.add(repair)
      return [toDiagnostic(repair, marginOf(reader, path.matches, starts, at, repair), q.text)]
    }),
  )
  return diagnostics.length === 0 ? null : { matches: path.matches, diagnostics }
}

/** How much dearer the nearest reading with other elements is, when this repair is not taken. */
function marginOf(
  reader: LatticeReader,
  matches: readonly Match[],
  starts: readonly number[],
  at: number,
  repair: Repair,
): number {
  const first = Math.max(0, at - REACH)
  const last = Math.min(matches.length, at + REACH + 2)
  const after = first === 0 ? 'start of text' : matches[first - 1]!.cls
  const then = matches[last]
  const window = (allowed?: (match: Match) => boolean) =>
    reader.read(starts[first]!, starts[last]!, after, { ...(allowed ? { allowed } : {}), then })
  const best = window()
  if (best === null) return 0
  const meaning = best.matches.map((match) => match.value).join('|')
  const refused = new Set<Repair>([repair])
  // Another way to the same elements is no doubt: refuse its guesses over this place too.
  for (let tries = 0; tries < 3; tries++) {
    const other = window((match) => !match.repairs.some((one) => refused.has(one)))
    if (other === null) return CERTAIN_MARGIN * 4
    if (other.matches.map((match) => match.value).join('|') !== meaning) return other.cost - best.cost
    const same = other.matches
      .flatMap((match) => match.repairs)
      .filter((one) => one.from < repair.to && one.to > repair.from)
    if (same.length === 0) return 0
    for (const one of same) refused.add(one)
  }
  return 0
}

function toDiagnostic(repair: Repair, margin: number, text: string): Diagnostic {
  const { code, from, to, insert, cost } = repair
  const certain = code !== 'teen' && margin >= CERTAIN_MARGIN && cost <= CERTAIN_COST
  const written = text.slice(from, to)
  return {
    severity: certain ? 'info' : 'warning',
    code,
    message: certain ? `"${written}" is read as "${insert}".` : `"${written}" may have been "${insert}".`,
    from,
    to,
    fix: { label: `make it "${insert}"`, from, to, insert },
    certain,
    margin,
  }
}
