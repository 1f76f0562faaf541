import type { Lexeme } from './lattice.ts'
import type { Class, Match } from './match.ts'
import type { Reading } from './matchCorners.ts'
import type { ElementKind, Meaning } from './notes.ts'
import type { VocabularyRow } from './vocabulary/row.ts'
import { labelOf } from './vocabulary.ts'

/** A known word that finds nothing to belong to. */
const LEFT_OVER = 3
const FILLER = 1.1
const LINK_TO = 0.8
const UNKNOWN = 4

/** Metres in the units that may follow a distance; a bare number is in the notes' own unit. */
const UNIT_METRES: Readonly<Record<string, number>> = { metres: 1, yards: 0.9144, kilometres: 1000, miles: 1609.344 }

/** What a number costs as a distance: crews say tens (common practice, no source; costs as notes-grammar sets them). */
export function distancePrice(value: number): number {
  if (value < 10) return 5
  if (value % 10 === 0) return value === 10 ? 0.6 : value >= 1000 ? 1.6 : value > 400 ? 0.5 : 0
  if (value % 5 === 0) return value > 100 ? 0.8 : 0.5
  return value > 100 ? 2.5 : 3.5
}

/** "60", "200 yards". */
export function distances(first: Lexeme, reading: Reading): Match[] {
  const value = first.number
  if (value === null || value === 0) return []
  const base: Match = {
    cls: 'distance',
    kind: 'distance',
    value: String(value),
    meaning: { is: 'distance', length: value * reading.unit },
    timing: 'straight',
    drop: 0,
    words: [`#${value}`],
    from: first.from,
    to: first.to,
    next: first.next,
    cost: first.cost + distancePrice(value),
    repairs: first.repairs,
  }
  const found = [base]
  for (const unit of reading.lexemes(first.next)) {
    const metres = unit.row?.kind === 'unit' ? UNIT_METRES[unit.row.word] : undefined
    if (metres === undefined) continue
    // "60 KM" is a distance and "keep middle": kilometres are said of small numbers only.
    const unlikely = metres >= 1000 && value > 9 ? 3 : metres >= 1000 ? -distancePrice(value) : 0
    found.push({
      ...base,
      value: `${value} ${unit.row!.word}`,
      meaning: { is: 'distance', length: value * metres },
      words: [`#${value}`, unit.row!.word],
      to: unit.to,
      next: unit.next,
      cost: base.cost + unit.cost + unlikely + reading.apart(first.next) - 0.45,
    })
  }
  return found
}

const OFFSETS: Readonly<Record<string, 'left' | 'right' | 'middle'>> = {
  'keep left': 'left',
  'keep right': 'right',
  'keep middle': 'middle',
}
const DEGREES_OF_WARNING: Readonly<Record<string, 1 | 2 | 3>> = { 'double caution': 2, 'triple caution': 3 }

function meaningOf(row: VocabularyRow): Meaning {
  switch (row.kind) {
    case 'length':
      return { is: 'length', factor: row.geometry.factor ?? 1 }
    case 'position':
      return { is: 'offset', side: OFFSETS[row.word] ?? null }
    case 'warning':
      return { is: 'warning', degree: DEGREES_OF_WARNING[row.word] ?? 1 }
    case 'link':
      return { is: 'link', length: row.geometry.metres ?? 0 }
    case 'distance':
      return { is: 'distance', length: row.geometry.metres ?? 0 }
    case 'start/finish':
      return row.word === 'start' ? { is: 'start' } : row.word === 'finish' ? { is: 'finish' } : { is: 'said' }
    default:
      return { is: 'said' }
  }
}

/** Kinds whose words stand alone as an element. */
const ALONE = new Set([
  'length',
  'position',
  'cut',
  'line',
  'warning',
  'motion',
  'width',
  'shape',
  'link',
  'distance',
  'start/finish',
  'repeat',
  'filler',
])

/** One row as one element; a word that needs another (a relation, a side, a unit) is left over at a price. */
export function singles(first: Lexeme): Match[] {
  const row = first.row
  if (row === null) return []
  const alone = ALONE.has(row.kind)
  const kind: ElementKind = alone ? (row.kind as ElementKind) : 'filler'
  const cls: Class = row.kind === 'link' ? (row.word === 'to' ? 'to' : 'link') : alone ? (row.kind as Class) : 'filler'
  if (
    !alone &&
    (row.kind === 'crest' ||
      row.kind === 'landmark' ||
      row.kind === 'object' ||
      row.kind === 'surface' ||
      row.kind === 'change')
  )
    return []
  const price = !alone ? LEFT_OVER : row.kind === 'filler' ? FILLER : row.word === 'to' ? LINK_TO : 0
  return [
    {
      cls,
      kind,
      value: labelOf(row),
      meaning: alone ? meaningOf(row) : { is: 'said' },
      timing: row.timing,
      drop: row.drop,
      words: [row.word],
      from: first.from,
      to: first.to,
      next: first.next,
      cost: first.cost + price,
      repairs: first.repairs,
    },
  ]
}

/** A token that no row knows: it stays in the call and is spoken. */
export function unknownWord(q: { text: string; from: number; to: number; next: number; cost: number }): Match {
  return {
    cls: 'unknown',
    kind: 'unknown',
    value: q.text,
    meaning: { is: 'said' },
    timing: 'turn-in',
    drop: 0,
    words: [q.text],
    from: q.from,
    to: q.to,
    next: q.next,
    cost: q.cost + UNKNOWN,
    repairs: [],
  }
}
