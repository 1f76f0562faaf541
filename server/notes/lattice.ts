import type { Lexicon } from './lexicon.ts'
import { COMMA, COMMENT, LINE_END, type Token } from './tokens.ts'

/** A guess at what was meant: its cost and how to write it. */
export interface Repair {
  readonly code: 'homophone' | 'sound' | 'join' | 'split-word' | 'split-number' | 'teen'
  readonly from: number
  readonly to: number
  readonly insert: string
  readonly cost: number
}

/** A word read from a node on: as written, or guessed. */
export interface WordArc {
  readonly node: number
  readonly text: string
  readonly from: number
  readonly to: number
  readonly next: number
  readonly repair: Repair | null
  /** False for the second half of a split, whose guess is priced with the first. */
  readonly priced?: boolean
}

/** How far apart two tokens are, as a small number: 0 nothing, 1 comma or full stop, 2 line end, 3 a comment or the start. */
const APART = { none: 0, comma: 1, line: 2, comment: 3 } as const

/**
 * The text as a net of words. Nodes 0 … n − 1 are the starts of tokens, n is the end, further nodes lie inside tokens that were split. Everything is held
 * in rows of numbers, because reading goes over them many times.
 */
export interface Lattice {
  readonly tokens: readonly Token[]
  readonly nodes: number
  /** Nodes in an order in which every arc runs forward; the last is the end. */
  readonly order: Int32Array
  /** Word id of each token (−1 for none) and its value if it is digits (−1 if not). */
  readonly word: Int32Array
  readonly digits: Int32Array
  readonly apart: Uint8Array
  readonly glued: Uint8Array
  /** Arcs out of a node: [arcStart[node], arcStart[node + 1]). */
  readonly arcStart: Int32Array
  readonly arcWord: Int32Array
  readonly arcDigits: Int32Array
  readonly arcFrom: Int32Array
  readonly arcTo: Int32Array
  readonly arcNext: Int32Array
  readonly arcCost: Float64Array
  /** Place in `repairs`, or −1 for the word as written. */
  readonly arcRepair: Int32Array
  readonly repairs: readonly Repair[]
}

/** Value of one to four digits, or −1. */
export function digitsOf(text: string): number {
  if (text.length > 4) return -1
  let value = 0
  for (let i = 0; i < text.length; i++) {
    const c = text.charCodeAt(i) - 48
    if (c < 0 || c > 9) return -1
    value = value * 10 + c
  }
  return value
}

/** The net of a text: every token as written, and the guesses, which must come node by node in the order of nodes. */
export function buildLattice(
  tokens: readonly Token[],
  lexicon: Lexicon,
  guesses: readonly WordArc[] = [],
  inside: readonly { readonly node: number; readonly after: number }[] = [],
): Lattice {
  const n = tokens.length
  const nodes = n + 1 + inside.length
  const total = n + guesses.length
  const word = new Int32Array(n)
  const digits = new Int32Array(n)
  const apart = new Uint8Array(nodes)
  const glued = new Uint8Array(nodes)
  const arcStart = new Int32Array(nodes + 1)
  const lattice = {
    tokens,
    nodes,
    order: orderOf(n, inside),
    word,
    digits,
    apart,
    glued,
    arcStart,
    arcWord: new Int32Array(total),
    arcDigits: new Int32Array(total),
    arcFrom: new Int32Array(total),
    arcTo: new Int32Array(total),
    arcNext: new Int32Array(total),
    arcCost: new Float64Array(total),
    arcRepair: new Int32Array(total),
    repairs: guesses.flatMap((arc) => arc.repair ?? []),
  }
  for (let i = 0; i < n; i++) {
    const token = tokens[i]!
    word[i] = lexicon.ids.get(token.text) ?? -1
    digits[i] = digitsOf(token.text)
    const { before } = token
    apart[i] = before >= COMMENT ? APART.comment : before >= LINE_END ? APART.line : before >= COMMA ? APART.comma : 0
    glued[i] = token.glued ? 1 : 0
    arcStart[i + 1] = 1
  }
  for (const guess of guesses) arcStart[guess.node + 1]!++
  for (let i = 0; i < nodes; i++) arcStart[i + 1]! += arcStart[i]!
  const place = arcStart.slice(0, nodes)
  for (let i = 0; i < n; i++) {
    const token = tokens[i]!
    const at = place[i]!++
    lattice.arcWord[at] = word[i]!
    lattice.arcDigits[at] = digits[i]!
    lattice.arcFrom[at] = token.from
    lattice.arcTo[at] = token.to
    lattice.arcNext[at] = i + 1
    lattice.arcRepair[at] = -1
  }
  let repair = 0
  for (const guess of guesses) {
    const at = place[guess.node]!++
    lattice.arcWord[at] = lexicon.ids.get(guess.text) ?? -1
    lattice.arcDigits[at] = digitsOf(guess.text)
    lattice.arcFrom[at] = guess.from
    lattice.arcTo[at] = guess.to
    lattice.arcNext[at] = guess.next
    lattice.arcCost[at] = guess.repair !== null && guess.priced !== false ? guess.repair.cost : 0
    lattice.arcRepair[at] = guess.repair === null ? -1 : repair++
  }
  return lattice
}

function orderOf(n: number, inside: readonly { readonly node: number; readonly after: number }[]): Int32Array {
  const order = new Int32Array(n + 1 + inside.length)
  let at = 0
  let k = 0
  for (let i = 0; i < n; i++) {
    order[at++] = i
    while (k < inside.length && inside[k]!.after === i) order[at++] = inside[k++]!.node
  }
  order[at] = n
  return order
}
