import { CLASS, FORM } from './classes.ts'
import { Grow, GrowFloat } from './grow.ts'
import type { Lexemes } from './lexemes.ts'
import { KIND, KINDS } from './lexicon.ts'
import { cornersFromGrade, cornersFromSide } from './matchCorners.ts'
import { changes, entries, features, keeps } from './matchFeatures.ts'
import type { VocabularyRow } from './vocabulary/row.ts'

/** A known word that finds nothing to belong to. */
const LEFT_OVER = 3
const FILLER = 1.1
const LINK_TO = 0.8
/** "plus" after a corner is its sign before it is a link. */
const LINK_PLUS = 0.6
const UNKNOWN = 4
/** Kinds whose words may stand alone as an element, and the class they then have. */
const ALONE: Readonly<Record<string, number>> = {
  length: CLASS.length,
  position: CLASS.position,
  cut: CLASS.cut,
  line: CLASS.line,
  warning: CLASS.warning,
  motion: CLASS.motion,
  width: CLASS.width,
  shape: CLASS.shape,
  link: CLASS.link,
  distance: CLASS.distance,
  'start/finish': CLASS.mark,
  repeat: CLASS.repeat,
  filler: CLASS.filler,
}
/** Read by their own matcher only. */
const NEVER_ALONE: readonly string[] = ['crest', 'landmark', 'object', 'surface', 'change']
const CLASS_ALONE = Int8Array.from(KINDS, (kind) => ALONE[kind] ?? (NEVER_ALONE.includes(kind) ? -1 : CLASS.filler))
const IS_ALONE = Uint8Array.from(KINDS, (kind) => (kind in ALONE ? 1 : 0))

/** Metres in the units that may follow a distance. */
export const UNIT_METRES: Readonly<Record<string, number>> = {
  metres: 1,
  yards: 0.9144,
  kilometres: 1000,
  miles: 1609.344,
}

/** Beyond 200 crews say fifties and hundreds more than other tens. */
const FINE_FAR = 0.7

/** What a number costs as a distance: crews say tens, and the further the rounder (common practice, no source). */
export function distancePrice(value: number): number {
  if (value < 10) return 5
  if (value % 10 === 0) {
    const fine = value > 200 && value % 50 !== 0 ? FINE_FAR : 0
    return fine + (value === 10 ? 0.6 : value >= 1000 ? 1.6 : value > 400 ? 0.5 : 0)
  }
  if (value % 5 === 0) return value > 200 ? 2 : value > 100 ? 1 : 0.5
  return value > 100 ? 2.5 : 3.5
}

/** Cost of a distance in the notes' own unit at a share of the text, or null. */
export type DistanceCost = ((metres: number, shareOfText: number) => number) | null

/**
 * Every element that can begin at each node, as rows of numbers. The parts of an element are a chain of lexemes, so that only those on the reading that
 * is taken need ever be built.
 */
export class Matches {
  readonly start: Int32Array
  readonly count: Int32Array
  readonly cls = new Grow()
  /** Class by which its start is priced. */
  readonly priced = new Grow()
  readonly form = new Grow()
  readonly next = new Grow()
  readonly node = new Grow()
  readonly cost = new GrowFloat()
  readonly flags = new Grow()
  /** Last part: a place in the chain. For an unknown word, the arc. */
  readonly parts = new Grow()
  readonly partLexeme = new Grow()
  readonly partBefore = new Grow()
  readonly lexemes: Lexemes
  readonly dictated: boolean
  at = 0

  constructor(lexemes: Lexemes, dictated: boolean, unit: number, distanceCost: DistanceCost) {
    this.lexemes = lexemes
    this.dictated = dictated
    const { lattice } = lexemes
    this.start = new Int32Array(lattice.nodes)
    this.count = new Int32Array(lattice.nodes)
    for (let k = 0; k < lattice.order.length; k++) this.fill(lattice.order[k]!, unit, distanceCost)
  }

  /** A lexeme after a chain (−1 for none). */
  link(lexeme: number, before: number): number {
    this.partLexeme.push(lexeme)
    this.partBefore.push(before)
    return this.partLexeme.length - 1
  }

  emit(cls: number, form: number, parts: number, next: number, cost: number, flags = 0, priced = cls): void {
    this.cls.push(cls)
    this.priced.push(priced)
    this.form.push(form)
    this.next.push(next)
    this.node.push(this.at)
    this.cost.push(cost)
    this.flags.push(flags)
    this.parts.push(parts)
  }

  rowOf(lexeme: number): VocabularyRow {
    return this.lexemes.lexicon.rows[this.lexemes.row.at[lexeme]!]!
  }

  /** Kind of a lexeme's row, or −1 for a number. */
  kindOf(lexeme: number): number {
    const row = this.lexemes.row.at[lexeme]!
    return row < 0 ? -1 : this.lexemes.lexicon.kinds[row]!
  }

  private fill(node: number, unit: number, distanceCost: DistanceCost): void {
    const { lexemes } = this
    const { lattice } = lexemes
    this.at = node
    this.start[node] = this.cls.length
    const end = lexemes.start[node]! + lexemes.count[node]!
    for (let lexeme = lexemes.start[node]!; lexeme < end; lexeme++) {
      const kind = this.kindOf(lexeme)
      if (kind < 0) {
        cornersFromGrade(this, lexeme)
        const share = distanceCost === null ? 0 : node / Math.max(1, lattice.tokens.length)
        this.distances(lexeme, unit, distanceCost, share)
        continue
      }
      this.alone(lexeme, kind)
      if (kind === KIND.grade) cornersFromGrade(this, lexeme)
      else if (kind === KIND.direction) cornersFromSide(this, lexeme)
      else if (kind === KIND.change) changes(this, lexeme)
      else if (kind === KIND.keep) keeps(this, lexeme)
      else if (kind === KIND.shape) entries(this, lexeme)
      else features(this, lexeme, kind)
    }
    for (let arc = lattice.arcStart[node]!; arc < lattice.arcStart[node + 1]!; arc++) {
      if (lattice.arcRepair[arc]! < 0)
        this.emit(CLASS.unknown, FORM.unknown, arc, lattice.arcNext[arc]!, UNKNOWN + lattice.arcCost[arc]!)
    }
    this.count[node] = this.cls.length - this.start[node]!
  }

  /** "60", "200 yards". */
  private distances(first: number, unit: number, distanceCost: DistanceCost, share: number): void {
    const { lexemes } = this
    const value = lexemes.number.at[first]!
    if (value === 0) return
    const price = distancePrice(value)
    const hint = distanceCost === null ? 0 : distanceCost(value * unit, share)
    const own = lexemes.cost.at[first]! + price
    const parts = this.link(first, -1)
    const next = lexemes.next.at[first]!
    this.emit(CLASS.distance, FORM.distance, parts, next, own + hint)
    const end = lexemes.start[next]! + lexemes.count[next]!
    for (let other = lexemes.start[next]!; other < end; other++) {
      if (this.kindOf(other) !== KIND.unit) continue
      const metres = UNIT_METRES[this.rowOf(other).word]!
      // "60 KM" is a distance and "keep middle": kilometres are said of small numbers only.
      const unlikely = metres >= 1000 && value > 9 ? 3 : metres >= 1000 ? -price : 0
      const cost = own + lexemes.cost.at[other]! + unlikely + lexemes.apart[next]! - 0.45
      const told = distanceCost === null ? 0 : distanceCost(value * metres, share)
      this.emit(CLASS.distance, FORM.distance, this.link(other, parts), lexemes.next.at[other]!, cost + told)
    }
  }

  /** One row as one element; a word that needs another (a relation, a side, a unit) is left over at a price. */
  private alone(lexeme: number, kind: number): void {
    let cls = CLASS_ALONE[kind]!
    if (cls < 0) return
    let price = IS_ALONE[kind] === 0 ? LEFT_OVER : cls === CLASS.filler ? FILLER : 0
    if (kind === KIND.link) {
      const { word } = this.rowOf(lexeme)
      if (word === 'to') {
        cls = CLASS.to
        price = LINK_TO
      } else if (word === 'plus link') price = LINK_PLUS
    }
    const { lexemes } = this
    this.emit(cls, FORM.single, this.link(lexeme, -1), lexemes.next.at[lexeme]!, lexemes.cost.at[lexeme]! + price)
  }
}
