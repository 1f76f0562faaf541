import { CLASS, FORM, PRICED_BY } from './classes.ts'
import { KIND } from './lexicon.ts'
import type { Matches } from './matches.ts'

const ANGLES = new Set([30, 45, 60, 75, 80, 90, 100, 110, 120, 135, 150, 180])
const SIDE_ONLY = 2.6
const SIDE_ONLY_DICTATED = 3
const GRADE_ONLY = 3
/** A bare angle costs by what is settled of the system; said with its unit, nothing. */

/** Grade of a lexeme: 1 to 9 or a grade word. */
export function isGrade(m: Matches, lexeme: number): boolean {
  const kind = m.kindOf(lexeme)
  if (kind >= 0) return kind === KIND.grade
  const value = m.lexemes.number.at[lexeme]!
  return value >= 1 && value <= 9
}

/** The part of a grade's price that hangs on the scale. */
export function scaleFlag(m: Matches, lexeme: number): number {
  return m.kindOf(lexeme) < 0 && m.lexemes.number.at[lexeme]! > 6 ? PRICED_BY.aboveSix : 0
}

/** Corners that begin with a grade or an angle: "5 left", "4+ L", "90 right", "6 right minus", and a grade left without its side. */
export function cornersFromGrade(m: Matches, first: number): void {
  const { lexemes } = m
  if (isGrade(m, first)) {
    const flags = scaleFlag(m, first)
    const parts = m.link(first, -1)
    const next = lexemes.next.at[first]!
    const cost = lexemes.cost.at[first]!
    gradeThenSide(m, parts, next, cost, flags, false)
    const end = lexemes.start[next]! + lexemes.count[next]!
    for (let sign = lexemes.start[next]!; sign < end; sign++) {
      if (m.kindOf(sign) !== KIND.sign) continue
      const signed = cost + lexemes.cost.at[sign]! + lexemes.apart[next]!
      gradeThenSide(m, m.link(sign, parts), lexemes.next.at[sign]!, signed, flags, true)
    }
  }
  if (m.kindOf(first) < 0 && ANGLES.has(lexemes.number.at[first]!)) angles(m, first)
}

function gradeThenSide(m: Matches, parts: number, next: number, cost: number, flags: number, signed: boolean): void {
  const { lexemes } = m
  m.emit(CLASS.corner, FORM.corner, parts, next, cost + GRADE_ONLY, flags)
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let side = lexemes.start[next]!; side < end; side++) {
    if (m.kindOf(side) !== KIND.direction) continue
    const whole = cost + lexemes.cost.at[side]! + lexemes.apart[next]!
    const chain = m.link(side, parts)
    const after = lexemes.next.at[side]!
    m.emit(CLASS.corner, FORM.corner, chain, after, whole, flags | PRICED_BY.gradeFirst)
    if (signed) continue
    const last = lexemes.start[after]! + lexemes.count[after]!
    for (let sign = lexemes.start[after]!; sign < last; sign++) {
      if (m.kindOf(sign) !== KIND.sign) continue
      const total = whole + lexemes.cost.at[sign]! + lexemes.apart[after]!
      m.emit(
        CLASS.corner,
        FORM.corner,
        m.link(sign, chain),
        lexemes.next.at[sign]!,
        total,
        flags | PRICED_BY.gradeFirst,
      )
    }
  }
}

function angles(m: Matches, first: number): void {
  const { lexemes } = m
  const parts = m.link(first, -1)
  const next = lexemes.next.at[first]!
  const cost = lexemes.cost.at[first]!
  angleThenSide(m, parts, next, cost, PRICED_BY.bareAngle)
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let unit = lexemes.start[next]!; unit < end; unit++) {
    if (m.kindOf(unit) !== KIND.degrees) continue
    const said = cost + lexemes.cost.at[unit]! + lexemes.apart[next]!
    angleThenSide(m, m.link(unit, parts), lexemes.next.at[unit]!, said, 0)
  }
}

function angleThenSide(m: Matches, parts: number, next: number, cost: number, flags: number): void {
  const { lexemes } = m
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let side = lexemes.start[next]!; side < end; side++) {
    if (m.kindOf(side) !== KIND.direction) continue
    const whole = cost + lexemes.cost.at[side]! + lexemes.apart[next]!
    m.emit(CLASS.corner, FORM.corner, m.link(side, parts), lexemes.next.at[side]!, whole, flags)
  }
}

/** Corners that begin with a side: "left 5", and a side without its grade. */
export function cornersFromSide(m: Matches, first: number): void {
  const { lexemes } = m
  const parts = m.link(first, -1)
  const next = lexemes.next.at[first]!
  const cost = lexemes.cost.at[first]!
  const alone = m.dictated ? SIDE_ONLY_DICTATED : SIDE_ONLY
  m.emit(CLASS.corner, FORM.corner, parts, next, cost + alone, 0, CLASS.sideOnly)
  const end = lexemes.start[next]! + lexemes.count[next]!
  for (let grade = lexemes.start[next]!; grade < end; grade++) {
    if (!isGrade(m, grade)) continue
    const flags = PRICED_BY.sideFirst | scaleFlag(m, grade)
    const chain = m.link(grade, parts)
    const after = lexemes.next.at[grade]!
    const whole = cost + lexemes.cost.at[grade]! + lexemes.apart[next]!
    m.emit(CLASS.corner, FORM.corner, chain, after, whole, flags)
    const last = lexemes.start[after]! + lexemes.count[after]!
    for (let sign = lexemes.start[after]!; sign < last; sign++) {
      if (m.kindOf(sign) !== KIND.sign) continue
      const total = whole + lexemes.cost.at[sign]! + lexemes.apart[after]!
      m.emit(CLASS.corner, FORM.corner, m.link(sign, chain), lexemes.next.at[sign]!, total, flags)
    }
  }
}
