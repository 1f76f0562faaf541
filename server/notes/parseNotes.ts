import { diagnose } from './diagnose.ts'
import { detectSystem, NEUTRAL_SYSTEM } from './gradeSystem.ts'
import { plainLattice } from './lattice.ts'
import { buildLexicon, type Lexicon, shorthandSplit } from './lexicon.ts'
import type { Match } from './match.ts'
import type { Call, GradeSystem, NoteElement, NoteSettings, ParsedNotes } from './notes.ts'
import { LatticeReader, type ReadingSettings } from './readPath.ts'
import { looksDictated, repairNotes } from './repair.ts'
import { type SplitElement, splitCalls } from './splitCalls.ts'
import { COMMA, type Token, tokenize } from './tokens.ts'

/** Yard, exact: 0.9144 m. */
const YARD = 0.9144

let builtIn: Lexicon | null = null

/**
 * Reads a crew's notes: calls made of elements with their exact ranges, and what is doubtful. Never throws, whatever the text; linear in its length.
 * Two passes: the first with a neutral grade system, then, if the text shows another, one with that. With `settings.repair` near-sounding and
 * run-together words are read as meant, each a diagnostic with a fix; the text itself is never changed.
 */
export function parseNotes(text: string, settings: NoteSettings = {}): ParsedNotes {
  const lexicon = settings.crewWords?.length ? buildLexicon(settings.crewWords) : (builtIn ??= buildLexicon())
  const tokens = tokenize(text, (word) => shorthandSplit(lexicon, word))
  const dictated = settings.dictated ?? looksDictated(tokens)
  const unit = (settings.units ?? (saysYards(text) ? 'yards' : 'metres')) === 'yards' ? YARD : 1
  const given = settings.system ?? {}
  const base: ReadingSettings = {
    system: { ...NEUTRAL_SYSTEM, ...given, scale: given.scale ?? 9 },
    known: { order: given.order !== undefined, degrees: null, scale: given.scale !== undefined },
    dictated,
    unit,
    ...(settings.distanceCost ? { distanceCost: settings.distanceCost } : {}),
  }
  const lattice = plainLattice(tokens)
  const first = new LatticeReader(lattice, lexicon, base).read(0, tokens.length)?.matches ?? []
  const { system, reasons } = detectSystem(text, first, given)
  const settled: ReadingSettings = { ...base, system, known: { order: true, degrees: usesDegrees(first), scale: true } }
  const second = new LatticeReader(lattice, lexicon, settled).read(0, tokens.length)?.matches ?? []
  const repaired = settings.repair ? repairNotes({ tokens, lexicon, settings: settled, text }) : null
  const matches = repaired?.matches ?? second
  const calls = splitCalls(
    text,
    settleShapes(matches).map((match) => toElement(text, tokens, match)),
  )
  const notes = { text, calls, system, reasons, dictated }
  return {
    notes,
    diagnostics: [...diagnose(notes, lexicon), ...(repaired?.diagnostics ?? [])].sort((a, b) => a.from - b.from),
  }
}

function saysYards(text: string): boolean {
  return /^[ \t]*#.*\b(yards?|yds?)\b/im.test(text)
}

/** True when an angle is said in words, or stands where it can be nothing else. */
function usesDegrees(matches: readonly Match[]): boolean | null {
  const angles = matches.filter((match) => match.meaning.is === 'corner' && match.meaning.grade?.name.endsWith('°'))
  return angles.length === 0 ? null : angles.some((match) => match.words.includes('degrees')) || angles.length > 1
}

const TIGHT = new Set(['hairpin', 'square', 'open hairpin', 'acute hairpin', 'acute', 'roundabout'])

/** "open" after a hairpin, a square or an angle is its shape; after any other corner it "opens". */
function settleShapes(matches: readonly Match[]): Match[] {
  let tight = false
  return matches.map((match) => {
    if (match.meaning.is === 'corner') {
      const name = match.meaning.grade?.name.replace(/[+\-½]+$/, '') ?? ''
      tight = TIGHT.has(name) || name.endsWith('°')
    }
    const word = match.words.length === 1 ? match.words[0] : ''
    if (tight && word === 'opens')
      return {
        ...match,
        cls: 'shape',
        kind: 'shape',
        value: 'open',
        meaning: { is: 'said' },
        timing: 'brake',
        drop: 0,
        words: ['open shape'],
      }
    if (!tight && word === 'open shape') {
      const meaning = { is: 'change', sense: 'opens', to: null, late: false, twice: false } as const
      return {
        ...match,
        cls: 'change',
        kind: 'change',
        value: 'opens',
        meaning,
        timing: 'part',
        drop: 1,
        words: ['opens'],
      }
    }
    return match
  })
}

function toElement(text: string, tokens: readonly Token[], match: Match): SplitElement {
  const { kind, value, from, to, timing, drop, meaning, words } = match
  const element: NoteElement = { kind, value, text: text.slice(from, to), from, to, timing, drop, meaning, words }
  const token = tokens[tokenAt(tokens, from)]!
  return { match, element, apart: token.before >= COMMA && token.from === from, line: token.line }
}

function tokenAt(tokens: readonly Token[], offset: number): number {
  let low = 0
  let high = tokens.length - 1
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if (tokens[middle]!.from <= offset) low = middle
    else high = middle - 1
  }
  return low
}

export type { Call, GradeSystem }
