import { Builder } from './buildElement.ts'
import { diagnose } from './diagnose.ts'
import { detectSystem, NEUTRAL_SYSTEM } from './gradeSystem.ts'
import { hesitation, withoutHesitations } from './hesitations.ts'
import { buildLattice } from './lattice.ts'
import { Lexemes } from './lexemes.ts'
import { buildLexicon, type Lexicon, shorthandSplit } from './lexicon.ts'
import { Matches } from './matches.ts'
import type { CrewWord, Diagnostic, GradeSystem, NoteElement, NoteSettings, ParsedNotes } from './notes.ts'
import { Reader, systemPrices } from './readPath.ts'
import { looksDictated, repairNotes } from './repair.ts'
import { splitCalls } from './splitCalls.ts'
import { COMMA, type Token, tokenize } from './tokens.ts'

/** Yard, exact: 0.9144 m. */
const YARD = 0.9144

let builtIn: Lexicon | null = null
let crewLexicon: { readonly words: string; readonly lexicon: Lexicon } | null = null

/** The lexicon of a crew; the last crew's is kept, since an editor asks at every key. */
export function lexiconFor(crewWords: readonly CrewWord[] = []): Lexicon {
  if (crewWords.length === 0) return (builtIn ??= buildLexicon())
  const words = JSON.stringify(crewWords)
  if (crewLexicon?.words !== words) crewLexicon = { words, lexicon: buildLexicon(crewWords) }
  return crewLexicon.lexicon
}

/**
 * Reads a crew's notes: calls made of elements with their exact ranges, and what is doubtful. Never throws, whatever the text; linear in its length.
 * Read once with a neutral grade system, and again only if what the text shows of its system changes a price. With `settings.repair` near-sounding
 * and run-together words are read as meant, each a diagnostic with a fix; the text itself is never changed.
 */
export function parseNotes(text: string, settings: NoteSettings = {}): ParsedNotes {
  const lexicon = lexiconFor(settings.crewWords)
  const typed = tokenize(text, (word) => shorthandSplit(lexicon, word))
  const dictated = settings.dictated ?? looksDictated(typed)
  // Nobody speaks in shorthand: a recogniser's "raft" is a word and not R and aft.
  const { tokens, hesitations } = withoutHesitations(dictated ? tokenize(text) : typed, lexicon)
  const unit = (settings.units ?? (saysYards(text) ? 'yards' : 'metres')) === 'yards' ? YARD : 1
  const given = settings.system ?? {}
  const distanceCost = settings.distanceCost ?? null
  const lattice = buildLattice(tokens, lexicon)
  const matches = new Matches(new Lexemes(lattice, lexicon, dictated), dictated, unit, distanceCost)
  const neutral: GradeSystem = { ...NEUTRAL_SYSTEM, ...given, scale: given.scale ?? 9 }
  const open = {
    order: given.order !== undefined,
    degrees: given.style === 'degrees',
    scale: given.scale !== undefined,
  }
  const openPrices = systemPrices({ system: neutral, known: open, dictated })
  let path: readonly number[] = new Reader(matches, openPrices).best()
  const first = new Builder(matches, neutral, unit)
  const { system, reasons } = detectSystem(text, buildAll(text, first, path), given, settings.fastByRoad)
  const degrees = system.style === 'degrees' || usesDegrees(first, path)
  const prices = systemPrices({ system, known: { order: true, degrees, scale: true }, dictated })
  if (mayChange(matches, path, openPrices, prices)) path = new Reader(matches, prices).best()
  let builder = new Builder(matches, system, unit)
  let doubts: readonly Diagnostic[] = settings.repair
    ? hesitations.map((token) => hesitation(token, text, dictated))
    : []
  if (settings.repair) {
    const repaired = repairNotes({ tokens, lexicon, text, dictated, unit, distanceCost, prices, system })
    builder = repaired.builder
    path = repaired.path
    doubts = [...doubts, ...repaired.diagnostics]
  }
  const elements = buildAll(text, builder, path)
  settleShapesInPlace(elements)
  const places = placesOf(tokens, builder, path)
  const notes = { text, calls: splitCalls(text, elements, places.apart, places.lines), system, reasons, dictated }
  const diagnostics = [...diagnose(notes, lexicon), ...doubts]
  return { notes, diagnostics: diagnostics.sort((a, b) => a.from - b.from) }
}

function saysYards(text: string): boolean {
  return /^[ \t]*#.*\b(yards?|yds?)\b/im.test(text)
}

/** Whether a reading may be another under new prices: not if what it stands on costs the same and nothing else became cheaper. */
function mayChange(matches: Matches, path: readonly number[], before: Float64Array, after: Float64Array): boolean {
  for (let flags = 0; flags < before.length; flags++) if (after[flags]! < before[flags]!) return true
  for (const match of path) {
    const flags = matches.flags.at[match]!
    if (after[flags] !== before[flags]) return true
  }
  return false
}

function buildAll(text: string, builder: Builder, path: readonly number[]): NoteElement[] {
  const elements: NoteElement[] = []
  for (const match of path) {
    const from = builder.from(match)
    const to = builder.to(match)
    const { kind, value, timing, drop, meaning, words } = builder.said(match)
    elements.push({ kind, value, text: text.slice(from, to), from, to, timing, drop, meaning, words })
  }
  return elements
}

/** True when an angle is said in words, or more than one stands where it can be nothing else. */
function usesDegrees(builder: Builder, path: readonly number[]): boolean {
  let angles = 0
  for (const match of path) {
    const { meaning, words } = builder.said(match)
    if (meaning.is !== 'corner' || !meaning.grade?.name.endsWith('°')) continue
    if (words.includes('degrees') || ++angles > 1) return true
  }
  return false
}

const TIGHT = new Set(['hairpin', 'square', 'open hairpin', 'acute hairpin', 'acute', 'roundabout'])

/** "open" after a hairpin, a square or an angle is its shape; after any other corner it "opens". */
function settleShapesInPlace(elements: NoteElement[]): void {
  let tight = false
  for (let i = 0; i < elements.length; i++) {
    const element = elements[i]!
    if (element.meaning.is === 'corner') {
      const name = element.meaning.grade?.name.replace(/[+\-½]+$/, '') ?? ''
      tight = TIGHT.has(name) || name.endsWith('°')
    } else if (element.words.length === 1) {
      if (tight && element.words[0] === 'opens') {
        const words = ['open shape']
        const meaning = { is: 'said' } as const
        elements[i] = { ...element, kind: 'shape', value: 'open', meaning, timing: 'brake', drop: 0, words }
      } else if (!tight && element.words[0] === 'open shape') {
        const meaning = { is: 'change', sense: 'opens', to: null, late: false, twice: false } as const
        elements[i] = { ...element, kind: 'change', value: 'opens', meaning, timing: 'part', drop: 1, words: ['opens'] }
      }
    }
  }
}

/** Whether a comma or more stands before each element, and its line. */
function placesOf(
  tokens: readonly Token[],
  builder: Builder,
  path: readonly number[],
): { apart: boolean[]; lines: number[] } {
  const apart: boolean[] = []
  const lines: number[] = []
  let line = 1
  for (const match of path) {
    const token = tokens[builder.nodeOf(match)]
    apart.push(token !== undefined && token.before >= COMMA)
    if (token) line = token.line
    lines.push(line)
  }
  return { apart, lines }
}
