import { Grow, GrowFloat } from './grow.ts'
import type { Lattice } from './lattice.ts'
import { KINDS, type Lexicon } from './lexicon.ts'
import { NUMBER_PART, NUMBER_READINGS, type NumberParts, readNumbers } from './numberWords.ts'

/** Longest phrase wins: a bonus for every further token of a form. */
const LONGER = -0.45
/** What it costs to go on over what stands between two tokens of one form, and of one element; by the lattice's `apart`. */
const FORM_APART = [0, 1.2, 1.6, 9]
const ELEMENT_APART = [0, 0.6, 1.6, 9]
/** A recogniser breaks lines where it likes. */
const DICTATED_LINE = 0.3
/** "Hundred" without how many of them. */
const BARE_HUNDRED = 0.6
/** Most words of one form. */
export const LONGEST_FORM = 5

/** Every row and every number that can be read from each node, as rows of numbers: [start[node], start[node] + count[node]). */
export class Lexemes implements NumberParts {
  readonly start: Int32Array
  readonly count: Int32Array
  /** Place of the row, or −1 for a number. */
  readonly row = new Grow()
  readonly number = new Grow()
  readonly from = new Grow()
  readonly to = new Grow()
  readonly next = new Grow()
  readonly cost = new GrowFloat()
  /** Guesses taken: a place in the chain below, or −1. */
  readonly repairs = new Grow()
  readonly chainRepair = new Grow()
  readonly chainBefore = new Grow()
  /** Cost of standing apart within an element, by node. */
  readonly apart: Float64Array
  readonly lattice: Lattice
  readonly lexicon: Lexicon
  private readonly dictated: boolean
  private readonly formApart: readonly number[]
  private readonly readings = new Int32Array(2 * NUMBER_READINGS)
  private firstWord = -1
  private restAt = 0

  constructor(lattice: Lattice, lexicon: Lexicon, dictated: boolean) {
    this.lattice = lattice
    this.lexicon = lexicon
    this.dictated = dictated
    this.formApart = dictated ? [0, 1.2, DICTATED_LINE, 9] : FORM_APART
    const within = dictated ? [0, 0.6, DICTATED_LINE, 9] : ELEMENT_APART
    this.apart = new Float64Array(lattice.nodes)
    for (let i = 0; i < lattice.nodes; i++) this.apart[i] = within[lattice.apart[i]!]!
    this.start = new Int32Array(lattice.nodes)
    this.count = new Int32Array(lattice.nodes)
    for (let k = 0; k < lattice.order.length; k++) this.fill(lattice.order[k]!)
  }

  private fill(node: number): void {
    const { lattice, lexicon } = this
    this.start[node] = this.row.length
    for (let arc = lattice.arcStart[node]!; arc < lattice.arcStart[node + 1]!; arc++) {
      const word = lattice.arcWord[arc]!
      const repairs = this.chain(lattice.arcRepair[arc]!, -1)
      if (word >= 0) {
        const branch = lexicon.firsts[word]!
        if (branch > 0) this.forms(branch, arc, node, 1, lattice.arcCost[arc]!, lattice.arcFrom[arc]!, repairs)
      }
      const digits = lattice.arcDigits[arc]!
      if (digits >= 0) this.add(-1, digits, arc, lattice.arcFrom[arc]!, lattice.arcCost[arc]!, repairs)
      else if (word >= 0 && lexicon.numberPart[word]! > 0) this.numbers(arc, word, repairs)
    }
    this.count[node] = this.row.length - this.start[node]!
  }

  private chain(repair: number, before: number): number {
    if (repair < 0) return before
    this.chainRepair.push(repair)
    this.chainBefore.push(before)
    return this.chainRepair.length - 1
  }

  private add(row: number, number: number, arc: number, from: number, cost: number, repairs: number): void {
    this.row.push(row)
    this.number.push(number)
    this.from.push(from)
    this.to.push(this.lattice.arcTo[arc]!)
    this.next.push(this.lattice.arcNext[arc]!)
    this.cost.push(cost)
    this.repairs.push(repairs)
  }

  private forms(
    branch: number,
    arc: number,
    node: number,
    depth: number,
    cost: number,
    from: number,
    repairs: number,
  ): void {
    const { lattice, lexicon } = this
    for (let r = lexicon.rowStart[branch]!; r < lexicon.rowStart[branch + 1]!; r++) {
      const row = lexicon.rowList[r]!
      if (depth > 1 || this.glueAllows(node, arc, row)) this.add(row, -1, arc, from, cost, repairs)
    }
    const at = lattice.arcNext[arc]!
    if (lexicon.hasChildren[branch] === 0 || depth >= LONGEST_FORM) return
    const step = cost + LONGER + this.formApart[lattice.apart[at]!]!
    for (let next = lattice.arcStart[at]!; next < lattice.arcStart[at + 1]!; next++) {
      const word = lattice.arcWord[next]!
      if (word < 0) continue
      const child = lexicon.children.get(branch * lexicon.ids.size + word)
      if (child === undefined) continue
      const taken = this.chain(lattice.arcRepair[next]!, repairs)
      this.forms(child, next, node, depth + 1, step + lattice.arcCost[next]!, from, taken)
    }
  }

  /** `+` and `-` are a sign where glued to what is before and not to what follows, and a link where glued to both or neither. */
  private glueAllows(node: number, arc: number, row: number): boolean {
    const { lattice, lexicon } = this
    const from = lattice.arcFrom[arc]!
    if (lattice.arcTo[arc]! - from !== 1 || node >= lattice.tokens.length) return true
    const { text } = lattice.tokens[node]!
    if (text !== '-' && text !== '+') return true
    const sign = lattice.glued[node] === 1 && lattice.glued[node + 1] !== 1
    return (KINDS[lexicon.kinds[row]!] === 'sign') === sign
  }

  private numbers(arc: number, word: number, repairs: number): void {
    const { lattice, readings } = this
    this.firstWord = word
    this.restAt = lattice.arcNext[arc]!
    const found = readNumbers(this, 0, readings)
    const bare = this.part(0) === NUMBER_PART.hundred ? BARE_HUNDRED : 0
    for (let k = 0; k < found; k++) {
      const length = readings[2 * k + 1]!
      this.add(-1, readings[2 * k]!, arc, lattice.arcFrom[arc]!, lattice.arcCost[arc]! + bare, repairs)
      if (length === 1) continue
      const next = this.restAt + length - 1
      this.to.setLast(lattice.tokens[next - 1]!.to)
      this.next.setLast(next)
      if (this.dictated) this.cost.setLast(lattice.arcCost[arc]! + bare + this.within(next))
    }
  }

  /** What a recogniser's commas and line ends inside a number cost, up to a node. */
  private within(next: number): number {
    let cost = 0
    for (let k = this.restAt; k < next; k++) cost += this.formApart[this.lattice.apart[k]!]!
    return cost
  }

  /** Part and value of the i-th word from the arc being read: the arc's own, then tokens as written, up to a comma in typed text. */
  part(i: number): number {
    const word = this.wordAt(i)
    return word < 0 ? 0 : this.lexicon.numberPart[word]!
  }

  value(i: number): number {
    const word = this.wordAt(i)
    return word < 0 ? 0 : this.lexicon.numberValue[word]!
  }

  private wordAt(i: number): number {
    if (i === 0) return this.firstWord
    const at = this.restAt + i - 1
    if (at >= this.lattice.tokens.length) return -1
    const most = this.dictated ? 2 : 0
    for (let k = this.restAt; k <= at; k++) if (this.lattice.apart[k]! > most) return -1
    return this.lattice.word[at]!
  }
}
