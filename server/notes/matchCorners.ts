import { degreesGrade, numberedGrade, signMark, wordedGrade } from './grades.ts'
import type { Lexeme } from './lattice.ts'
import type { Match } from './match.ts'
import type { Grade, GradeSystem, Side } from './notes.ts'

/** What a matcher needs besides its first lexeme. */
export interface Reading {
  readonly system: GradeSystem
  /** What is settled of the system; what is not is priced as either. */
  readonly known: { readonly order: boolean; readonly degrees: boolean | null; readonly scale: boolean }
  readonly dictated: boolean
  /** Metres to a unit of plain distances. */
  readonly unit: number
  readonly lexemes: (node: number) => readonly Lexeme[]
  readonly apart: (node: number) => number
}

const ANGLES = new Set([30, 45, 60, 75, 80, 90, 100, 110, 120, 135, 150, 180])
const SIDE_ONLY = 2.6
const GRADE_ONLY = 3
const OTHER_ORDER = 1.5
const EITHER_ORDER = 0.3
const ABOVE_SCALE = 1.5

/** A grade and the sign that may follow it. */
interface GradeRead {
  readonly name: string
  readonly grade: Grade
  readonly words: readonly string[]
  readonly to: number
  readonly next: number
  readonly cost: number
  readonly repairs: Lexeme['repairs']
}

/** Every way to read a grade that begins with this lexeme, with and without a sign. */
export function readGrades(first: Lexeme, reading: Reading): GradeRead[] {
  const { system } = reading
  let base: (sign: string | null) => Grade
  let cost = first.cost
  let word: string
  if (first.number !== null) {
    if (first.number < 1 || first.number > 9) return []
    const value = first.number
    base = (sign) => numberedGrade(value, sign, system)
    if (value > system.scale) cost += ABOVE_SCALE
    word = `#${value}`
  } else if (first.row?.kind === 'grade') {
    const own = first.row.word
    base = (sign) => wordedGrade(own, sign)
    word = own
  } else return []
  const bare = base(null)
  const found: GradeRead[] = [
    { name: bare.name, grade: bare, words: [word], to: first.to, next: first.next, cost, repairs: first.repairs },
  ]
  for (const sign of reading.lexemes(first.next)) {
    if (sign.row?.kind !== 'sign') continue
    const grade = base(sign.row.word)
    found.push({
      name: grade.name,
      grade,
      words: [word, sign.row.word],
      to: sign.to,
      next: sign.next,
      cost: cost + sign.cost + reading.apart(first.next),
      repairs: [...first.repairs, ...sign.repairs],
    })
  }
  return found
}

const sideOf = (lexeme: Lexeme): Side | null => (lexeme.row?.kind === 'direction' ? (lexeme.row.word as Side) : null)
const letter = (side: Side) => (side === 'left' ? 'L' : 'R')

function corner(q: {
  side: Side | null
  grade: Grade | null
  name?: string
  words: readonly string[]
  from: number
  to: number
  next: number
  cost: number
  repairs: Lexeme['repairs']
  sideOnly?: boolean
}): Match {
  const { side, grade, ...rest } = q
  return {
    cls: 'corner',
    kind: 'corner',
    value: `${side === null ? '?' : letter(side)} ${grade?.name ?? '?'}`,
    meaning: { is: 'corner', side, grade },
    timing: 'brake',
    drop: 0,
    ...rest,
  }
}

/** Corners that begin with a grade or an angle: "5 left", "4+ L", "90 right", and a grade left without its side. */
export function cornersFromGrade(first: Lexeme, reading: Reading): Match[] {
  const found: Match[] = []
  const order = reading.known.order ? (reading.system.order === 'grade-first' ? 0 : OTHER_ORDER) : 0
  for (const read of readGrades(first, reading)) {
    for (const direction of reading.lexemes(read.next)) {
      const side = sideOf(direction)
      if (side === null) continue
      const cost = read.cost + direction.cost + reading.apart(read.next) + order
      const repairs = [...read.repairs, ...direction.repairs]
      found.push(
        corner({
          side,
          grade: read.grade,
          words: [...read.words, side],
          from: first.from,
          to: direction.to,
          next: direction.next,
          cost,
          repairs,
        }),
      )
      if (read.words.length === 1) found.push(...signAfter(first, read, direction, side, cost, repairs, reading))
    }
    found.push(
      corner({
        side: null,
        grade: read.grade,
        words: read.words,
        from: first.from,
        to: read.to,
        next: read.next,
        cost: read.cost + GRADE_ONLY,
        repairs: read.repairs,
      }),
    )
  }
  return [...found, ...degreesCorner(first, reading)]
}

/** "6 right minus". */
function signAfter(
  first: Lexeme,
  read: GradeRead,
  direction: Lexeme,
  side: Side,
  cost: number,
  repairs: Lexeme['repairs'],
  reading: Reading,
): Match[] {
  return reading.lexemes(direction.next).flatMap((sign) => {
    if (sign.row?.kind !== 'sign') return []
    const mark = sign.row.word
    const grade =
      first.number !== null ? numberedGrade(first.number, mark, reading.system) : wordedGrade(read.words[0]!, mark)
    return [
      corner({
        side,
        grade: { ...grade, name: read.name + signMark(mark) },
        words: [...read.words, side, mark],
        from: first.from,
        to: sign.to,
        next: sign.next,
        cost: cost + sign.cost + reading.apart(direction.next),
        repairs: [...repairs, ...sign.repairs],
      }),
    ]
  })
}

function degreesCorner(first: Lexeme, reading: Reading): Match[] {
  if (first.number === null || !ANGLES.has(first.number)) return []
  const { degrees } = reading.known
  const bare = degrees === true ? 0.2 : reading.dictated ? 1.6 : 0.8
  const grade = degreesGrade(first.number)
  const ends: { next: number; to: number; cost: number; words: string[] }[] = [
    { next: first.next, to: first.to, cost: bare, words: [] },
  ]
  for (const unit of reading.lexemes(first.next)) {
    if (unit.row?.kind === 'degrees')
      ends.push({ next: unit.next, to: unit.to, cost: unit.cost + reading.apart(first.next), words: ['degrees'] })
  }
  return ends.flatMap((end) =>
    reading.lexemes(end.next).flatMap((direction) => {
      const side = sideOf(direction)
      if (side === null) return []
      return [
        corner({
          side,
          grade,
          words: [`#${first.number}`, ...end.words, side],
          from: first.from,
          to: direction.to,
          next: direction.next,
          cost: first.cost + end.cost + direction.cost + reading.apart(end.next),
          repairs: [...first.repairs, ...direction.repairs],
        }),
      ]
    }),
  )
}

/** Corners that begin with a side: "left 5", and a side without its grade. */
export function cornersFromSide(first: Lexeme, reading: Reading): Match[] {
  const side = sideOf(first)
  if (side === null) return []
  const alone = SIDE_ONLY + (reading.dictated ? 0.4 : 0)
  const found = [
    corner({
      side,
      grade: null,
      words: [side],
      from: first.from,
      to: first.to,
      next: first.next,
      cost: first.cost + alone,
      repairs: first.repairs,
      sideOnly: true,
    }),
  ]
  const order = reading.known.order ? (reading.system.order === 'side-first' ? 0 : OTHER_ORDER) : EITHER_ORDER
  for (const lexeme of reading.lexemes(first.next)) {
    for (const read of readGrades(lexeme, reading)) {
      found.push(
        corner({
          side,
          grade: read.grade,
          words: [side, ...read.words],
          from: first.from,
          to: read.to,
          next: read.next,
          cost: first.cost + read.cost + reading.apart(first.next) + order,
          repairs: [...first.repairs, ...read.repairs],
        }),
      )
    }
  }
  return found
}
