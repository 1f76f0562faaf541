import { CLASS, FORM } from './classes.ts'
import { KIND } from './lexicon.ts'
import { isGrade, scaleFlag } from './matchCorners.ts'
import type { Matches } from './matches.ts'
import type { VocabularyRow } from './vocabulary/row.ts'

const FILLER_AFTER_RELATION = 0.25
const BARE_NOUN = 0.3
const SIZED = 0.1
const SIDE_BY_DIRECTION = 0.9
const MOST_SIZES = 3
/** "long" is a length before it is the size of what follows it with no relation between. */
const LONG_WITHOUT_RELATION = 0.5
/** Objects are hardly ever sized; "long rocks" is a long corner with rocks. */
const LONG_OBJECT = 1
const SURFACE_CHANGE = -0.9
/** Surfaces are said of an exit or an entry; of an inside they are rarer. */
const SURFACE_SIDE = 0.3
const CHANGE_PHRASE = -0.45
/** A phrase of the table wins over its parts. */
const TWICE = -0.35
const ENTRY_PHRASE = -0.45

/** How well a relation suits a noun: rows by the relation's own `suits`, columns crest, landmark, surface, object. */
const SUITS = {
  crest: [0, 0.5, 1, 1.2],
  surface: [0.8, 0.3, 0, 0.8],
  any: [0, 0, 0, 0],
  other: [1.5, 0.3, 0.3, 0.3],
} as const

function suits(relation: VocabularyRow, kind: number): number {
  const column = kind === KIND.crest ? 0 : kind === KIND.landmark ? 1 : kind === KIND.surface ? 2 : 3
  return SUITS[relation.suits ?? 'other'][column]!
}

const isNoun = (kind: number) =>
  kind === KIND.crest || kind === KIND.landmark || kind === KIND.object || kind === KIND.surface

/** Relation, sizes and noun: "over small crest", "past logs", "maybe jump", "narrow bridge". `first` is a relation, a size or a noun. */
export function features(m: Matches, first: number, kind: number): void {
  const cost = m.lexemes.cost.at[first]!
  if (kind === KIND.relation) afterRelation(m, m.link(first, -1), m.lexemes.next.at[first]!, cost, m.rowOf(first), 0)
  else if (kind === KIND.size) afterSize(m, m.link(first, -1), m.lexemes.next.at[first]!, cost, null, first, 1)
  else if (isNoun(kind)) withNoun(m, m.link(first, -1), first, cost, null, BARE_NOUN)
}

function afterRelation(
  m: Matches,
  parts: number,
  next: number,
  cost: number,
  relation: VocabularyRow,
  fillers: number,
): void {
  const { lexemes } = m
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let lexeme = lexemes.start[next]!; lexeme < end; lexeme++) {
    const kind = m.kindOf(lexeme)
    if (kind < 0) continue
    const whole = cost + lexemes.cost.at[lexeme]! + lexemes.apart[next]!
    if (kind === KIND.filler) {
      if (fillers === 0 && m.rowOf(lexeme).article)
        afterRelation(m, parts, lexemes.next.at[lexeme]!, whole + FILLER_AFTER_RELATION, relation, 1)
    } else if (kind === KIND.size)
      afterSize(m, m.link(lexeme, parts), lexemes.next.at[lexeme]!, whole, relation, lexeme, 1)
    else if (isNoun(kind)) withNoun(m, m.link(lexeme, parts), lexeme, whole, relation, 0)
  }
}

function afterSize(
  m: Matches,
  parts: number,
  next: number,
  cost: number,
  relation: VocabularyRow | null,
  size: number,
  depth: number,
): void {
  const { lexemes } = m
  const end = lexemes.start[next]! + lexemes.count[next]!
  const long = m.rowOf(size).geometry.length !== undefined
  for (let lexeme = lexemes.start[next]!; lexeme < end; lexeme++) {
    const kind = m.kindOf(lexeme)
    const whole = cost + lexemes.cost.at[lexeme]! + lexemes.apart[next]!
    if (kind === KIND.size) {
      if (depth < MOST_SIZES)
        afterSize(m, m.link(lexeme, parts), lexemes.next.at[lexeme]!, whole, relation, lexeme, depth + 1)
    } else if (kind === KIND.crest || kind === KIND.landmark || kind === KIND.object) {
      const odd = !long ? 0 : kind === KIND.object ? LONG_OBJECT : relation === null ? LONG_WITHOUT_RELATION : 0
      withNoun(m, m.link(lexeme, parts), lexeme, whole + odd, relation, SIZED)
    }
  }
}

/** Everything a noun can end: crest, landmark, object with its side, surface with what it becomes. */
function withNoun(
  m: Matches,
  parts: number,
  noun: number,
  cost: number,
  relation: VocabularyRow | null,
  bare: number,
): void {
  const kind = m.kindOf(noun)
  const next = m.lexemes.next.at[noun]!
  const price = cost + (relation === null ? bare : suits(relation, kind))
  if (kind === KIND.crest) m.emit(CLASS.crest, FORM.feature, parts, next, price)
  else if (kind === KIND.landmark) {
    const turn = m.rowOf(noun).geometry.effect === 'junction'
    if (turn) m.emit(CLASS.turn, FORM.feature, parts, next, price - (relation === null ? bare : 0))
    else m.emit(relation?.suits === 'surface' ? CLASS.surface : CLASS.landmark, FORM.feature, parts, next, price)
  } else if (kind === KIND.object) objects(m, parts, next, price, relation)
  else surfaces(m, parts, next, price - (relation === null ? bare : 0))
}

function objects(m: Matches, parts: number, next: number, cost: number, relation: VocabularyRow | null): void {
  const passed = relation?.suits === 'any'
  m.emit(passed ? CLASS.landmark : CLASS.object, FORM.feature, parts, next, cost)
  if (passed) return
  const { lexemes } = m
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let side = lexemes.start[next]!; side < end; side++) {
    const kind = m.kindOf(side)
    if (kind !== KIND.side && kind !== KIND.direction) continue
    const odd = kind === KIND.direction ? SIDE_BY_DIRECTION : 0
    const whole = cost + lexemes.cost.at[side]! + lexemes.apart[next]! + odd
    m.emit(CLASS.object, FORM.feature, m.link(side, parts), lexemes.next.at[side]!, whole)
  }
}

function surfaces(m: Matches, parts: number, next: number, cost: number): void {
  m.emit(CLASS.surface, FORM.feature, parts, next, cost)
  const { lexemes } = m
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let after = lexemes.start[next]!; after < end; after++) {
    const kind = m.kindOf(after)
    if (kind < 0) continue
    const whole = cost + lexemes.cost.at[after]! + lexemes.apart[next]!
    const then = lexemes.next.at[after]!
    if (kind === KIND.side) {
      const odd = m.rowOf(after).word.startsWith('on ') ? 0 : SURFACE_SIDE
      m.emit(CLASS.surface, FORM.feature, m.link(after, parts), then, whole + odd)
    }
    if (kind !== KIND.link || m.rowOf(after).word !== 'to') continue
    const joined = m.link(after, parts)
    const last = lexemes.start[then]! + lexemes.count[then]!
    for (let other = lexemes.start[then]!; other < last; other++) {
      if (m.kindOf(other) !== KIND.surface) continue
      const total = whole + lexemes.cost.at[other]! + lexemes.apart[then]! + SURFACE_CHANGE
      m.emit(CLASS.surface, FORM.feature, m.link(other, joined), lexemes.next.at[other]!, total)
    }
  }
}

/** "tightens", "tightens to 2", "> late", "opens 5+": a change, with its target or its moment. */
export function changes(m: Matches, first: number): void {
  const { lexemes } = m
  const parts = m.link(first, -1)
  const next = lexemes.next.at[first]!
  const cost = lexemes.cost.at[first]!
  const whole = m.rowOf(first).geometry.at === undefined
  m.emit(CLASS.change, FORM.change, parts, next, cost)
  targets(m, parts, next, cost)
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let after = lexemes.start[next]!; after < end; after++) {
    const kind = m.kindOf(after)
    if (kind !== KIND.link && kind !== KIND.line && kind !== KIND.repeat) continue
    const { word } = m.rowOf(after)
    const phrase = kind === KIND.repeat ? TWICE : CHANGE_PHRASE
    const joined = cost + lexemes.cost.at[after]! + lexemes.apart[next]! + phrase
    const then = lexemes.next.at[after]!
    if (word === 'to') targets(m, parts, then, joined)
    else if ((word === 'late' && whole) || word === 'twice')
      m.emit(CLASS.change, FORM.change, m.link(after, parts), then, joined)
  }
}

function targets(m: Matches, parts: number, next: number, cost: number): void {
  const { lexemes } = m
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let grade = lexemes.start[next]!; grade < end; grade++) {
    if (!isGrade(m, grade)) continue
    const flags = scaleFlag(m, grade)
    const chain = m.link(grade, parts)
    const after = lexemes.next.at[grade]!
    const whole = cost + lexemes.cost.at[grade]! + lexemes.apart[next]!
    m.emit(CLASS.change, FORM.change, chain, after, whole, flags)
    const last = lexemes.start[after]! + lexemes.count[after]!
    for (let sign = lexemes.start[after]!; sign < last; sign++) {
      if (m.kindOf(sign) !== KIND.sign) continue
      const total = whole + lexemes.cost.at[sign]! + lexemes.apart[after]!
      m.emit(CLASS.change, FORM.change, m.link(sign, chain), lexemes.next.at[sign]!, total, flags)
    }
  }
}

/** "keep left", "KR", "stay in". */
export function keeps(m: Matches, first: number): void {
  const { lexemes } = m
  const next = lexemes.next.at[first]!
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let side = lexemes.start[next]!; side < end; side++) {
    if (m.kindOf(side) !== KIND.direction) continue
    const cost = lexemes.cost.at[first]! + lexemes.cost.at[side]! + lexemes.apart[next]!
    m.emit(CLASS.position, FORM.keep, m.link(side, m.link(first, -1)), lexemes.next.at[side]!, cost)
  }
}

const MOST_GATES = 4

/** "entry 2 in 1 out": how many gates, and which way. */
export function entries(m: Matches, first: number): void {
  if (m.rowOf(first).word === 'entry')
    gates(m, m.link(first, -1), m.lexemes.next.at[first]!, m.lexemes.cost.at[first]!, 1)
}

function gates(m: Matches, parts: number, next: number, cost: number, depth: number): void {
  const { lexemes } = m
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let number = lexemes.start[next]!; number < end; number++) {
    if (m.kindOf(number) >= 0 || lexemes.number.at[number]! > 9) continue
    const middle = lexemes.next.at[number]!
    const last = lexemes.start[middle]! + lexemes.count[middle]!
    for (let side = lexemes.start[middle]!; side < last; side++) {
      if (m.kindOf(side) !== KIND.side) continue
      const { word } = m.rowOf(side)
      if (word !== 'inside' && word !== 'outside') continue
      const between = lexemes.apart[next]! + lexemes.apart[middle]! + ENTRY_PHRASE
      const whole = cost + lexemes.cost.at[number]! + lexemes.cost.at[side]! + between
      const chain = m.link(side, m.link(number, parts))
      const after = lexemes.next.at[side]!
      m.emit(CLASS.shape, FORM.entry, chain, after, whole)
      if (depth < MOST_GATES) gates(m, chain, after, whole, depth + 1)
    }
  }
}
