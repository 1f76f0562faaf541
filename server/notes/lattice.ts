import type { FormNode, Lexicon } from './lexicon.ts'
import { readNumbers } from './numberWords.ts'
import { COMMENT, LINE_END, type Token } from './tokens.ts'
import type { VocabularyRow } from './vocabulary/row.ts'

/** A guess at what was meant: its cost and how to say it. */
export interface Repair {
  readonly code: 'homophone' | 'sound' | 'join' | 'split-word' | 'split-number' | 'teen'
  readonly from: number
  readonly to: number
  readonly insert: string
  readonly cost: number
}

/** A way through one or more tokens as one word. Nodes 0…n are token starts; further nodes lie inside split tokens. */
export interface WordArc {
  readonly text: string
  readonly from: number
  readonly to: number
  readonly next: number
  readonly cost: number
  readonly repair: Repair | null
}

export interface Lattice {
  readonly tokens: readonly Token[]
  /** Arcs out of each node. */
  readonly arcs: readonly (readonly WordArc[])[]
  /** Nodes in an order in which every arc runs forward; the last is the end. */
  readonly order: readonly number[]
}

/** One row, or one number, read from a node. */
export interface Lexeme {
  readonly row: VocabularyRow | null
  readonly number: number | null
  readonly from: number
  readonly to: number
  readonly next: number
  readonly cost: number
  readonly repairs: readonly Repair[]
}

/** The text as it stands: one arc a token. */
export function plainLattice(tokens: readonly Token[]): Lattice {
  const arcs = tokens.map((token, i): WordArc[] => [
    { text: token.text, from: token.from, to: token.to, next: i + 1, cost: 0, repair: null },
  ])
  arcs.push([])
  return { tokens, arcs, order: arcs.map((_, i) => i) }
}

/** Longest phrase wins: a bonus for every further token of a form. */
const LONGER = -0.45
const COMMA_IN_FORM = 1.2
const LONGEST_FORM = 5

/** What standing apart costs inside an element, at a node. */
export function separationCost(lattice: Lattice, node: number, dictated: boolean): number {
  const before = lattice.tokens[node]?.before ?? 0
  if (before >= COMMENT) return 9
  if (before >= LINE_END) return dictated ? 0.5 : 1.6
  return before >= 1 ? 0.6 : 0
}

/** Every row and number that can be read from a node. */
export function lexemesAt(lattice: Lattice, lexicon: Lexicon, node: number, dictated: boolean): Lexeme[] {
  const found: Lexeme[] = []
  for (const arc of lattice.arcs[node]!) {
    readForms(
      lattice,
      lexicon.root,
      arc,
      { node, depth: 1, cost: arc.cost, from: arc.from, repairs: arc.repair ? [arc.repair] : [] },
      dictated,
      found,
    )
    readNumbersFrom(lattice, arc, found)
  }
  return found
}

function readForms(
  lattice: Lattice,
  tree: FormNode,
  arc: WordArc,
  so: { node: number; depth: number; cost: number; from: number; repairs: readonly Repair[] },
  dictated: boolean,
  found: Lexeme[],
): void {
  const branch = tree.next.get(arc.text)
  if (!branch) return
  for (const row of branch.rows) {
    if (!glueAllows(lattice, so.node, arc, row)) continue
    found.push({ row, number: null, from: so.from, to: arc.to, next: arc.next, cost: so.cost, repairs: so.repairs })
  }
  if (branch.next.size === 0 || so.depth >= LONGEST_FORM) return
  const apart = separationCost(lattice, arc.next, dictated)
  const step = LONGER + (apart === 0.6 ? COMMA_IN_FORM : apart)
  for (const next of lattice.arcs[arc.next] ?? []) {
    const repairs = next.repair ? [...so.repairs, next.repair] : so.repairs
    readForms(
      lattice,
      branch,
      next,
      { node: so.node, depth: so.depth + 1, cost: so.cost + step + next.cost, from: so.from, repairs },
      dictated,
      found,
    )
  }
}

/** `+` and `-` are a sign where glued to what is before and not to what follows, and a link where glued to both or neither. */
function glueAllows(lattice: Lattice, node: number, arc: WordArc, row: VocabularyRow): boolean {
  if (arc.text !== '-' && arc.text !== '+') return true
  const token = lattice.tokens[node]
  if (!token) return true
  const sign = token.glued && !lattice.tokens[node + 1]?.glued
  return row.kind === 'sign' ? sign : !sign
}

function readNumbersFrom(lattice: Lattice, arc: WordArc, found: Lexeme[]): void {
  const { tokens } = lattice
  const base = arc.next <= tokens.length
  const word = (i: number) => {
    if (i === 0) return arc.text
    const token = base ? tokens[arc.next + i - 1] : undefined
    return token === undefined || token.before >= 1 ? undefined : token.text
  }
  for (const { value, length } of readNumbers(word, 0)) {
    const next = arc.next + length - 1
    found.push({
      row: null,
      number: value,
      from: arc.from,
      to: length === 1 ? arc.to : tokens[next - 1]!.to,
      next,
      cost: arc.cost,
      repairs: arc.repair ? [arc.repair] : [],
    })
  }
}
