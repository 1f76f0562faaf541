import { CLASS, FORM } from './classes.ts'
import { degreesGrade, numberedGrade, wordedGrade } from './grades.ts'
import type { Repair } from './lattice.ts'
import { KIND } from './lexicon.ts'
import { type Matches, UNIT_METRES } from './matches.ts'
import type { ElementKind, Grade, GradeSystem, Meaning, NoteElement, Side } from './notes.ts'
import type { VocabularyRow } from './vocabulary/row.ts'
import { labelOf } from './vocabulary.ts'

const KIND_OF_CLASS: Readonly<Record<number, ElementKind>> = {
  [CLASS.corner]: 'corner',
  [CLASS.length]: 'length',
  [CLASS.change]: 'change',
  [CLASS.crest]: 'crest',
  [CLASS.position]: 'position',
  [CLASS.cut]: 'cut',
  [CLASS.line]: 'line',
  [CLASS.warning]: 'warning',
  [CLASS.motion]: 'motion',
  [CLASS.object]: 'object',
  [CLASS.landmark]: 'landmark',
  [CLASS.turn]: 'landmark',
  [CLASS.surface]: 'surface',
  [CLASS.width]: 'width',
  [CLASS.shape]: 'shape',
  [CLASS.link]: 'link',
  [CLASS.to]: 'link',
  [CLASS.distance]: 'distance',
  [CLASS.mark]: 'start/finish',
  [CLASS.repeat]: 'repeat',
  [CLASS.filler]: 'filler',
  [CLASS.unknown]: 'unknown',
}
const KIND_ALONE = new Map(Object.values(KIND_OF_CLASS).map((kind) => [kind as string, kind]))

type Said = Pick<NoteElement, 'kind' | 'value' | 'timing' | 'drop' | 'meaning' | 'words'>
const SAID = { is: 'said' } as const

/** Makes elements of matches: only those on the reading that is taken are ever made. What the same words mean is made once. */
export class Builder {
  private readonly matches: Matches
  private readonly system: GradeSystem
  private readonly unit: number
  private readonly known = new Map<number, Said>()
  private readonly parts: number[] = []

  constructor(matches: Matches, system: GradeSystem, unit: number) {
    this.matches = matches
    this.system = system
    this.unit = unit
  }

  /** Lexemes of a match in spoken order, in a row that is used again by the next call. */
  private partsOf(match: number): number[] {
    const { matches, parts } = this
    parts.length = 0
    for (let at = matches.parts.at[match]!; at >= 0; at = matches.partBefore.at[at]!) {
      parts.push(matches.partLexeme.at[at]!)
    }
    return parts.reverse()
  }

  /** Guesses a match stands on, in order of the text. */
  repairsOf(match: number): Repair[] {
    const { matches } = this
    if (matches.form.at[match] === FORM.unknown) return []
    const { repairs, chainRepair, chainBefore, lattice } = matches.lexemes
    const found: Repair[] = []
    for (const lexeme of this.partsOf(match)) {
      const own: Repair[] = []
      for (let at = repairs.at[lexeme]!; at >= 0; at = chainBefore.at[at]!)
        own.push(lattice.repairs[chainRepair.at[at]!]!)
      for (const repair of own.reverse()) if (!found.includes(repair)) found.push(repair)
    }
    return found
  }

  nodeOf(match: number): number {
    return this.matches.node.at[match]!
  }

  /** Where a match begins and ends in the text. */
  from(match: number): number {
    const { matches } = this
    const { lattice } = matches.lexemes
    if (matches.form.at[match] === FORM.unknown) return lattice.arcFrom[matches.parts.at[match]!]!
    let at = matches.parts.at[match]!
    while (matches.partBefore.at[at]! >= 0) at = matches.partBefore.at[at]!
    return matches.lexemes.from.at[matches.partLexeme.at[at]!]!
  }

  to(match: number): number {
    const { matches } = this
    if (matches.form.at[match] === FORM.unknown) return matches.lexemes.lattice.arcTo[matches.parts.at[match]!]!
    return matches.lexemes.to.at[matches.partLexeme.at[matches.parts.at[match]!]!]!
  }

  /** Kind and value of a match, as two readings are compared. */
  meant(match: number): string {
    const { kind, value } = this.said(match)
    return `${kind} ${value}`
  }

  said(match: number): Said {
    const { matches } = this
    const form = matches.form.at[match]!
    if (form === FORM.unknown) return unknown(matches.lexemes.lattice.tokens[matches.node.at[match]!]!.text)
    const parts = this.partsOf(match)
    const key = this.keyOf(form, parts)
    const before = key < 0 ? undefined : this.known.get(key)
    if (before) return before
    const said = this.make(form, matches.cls.at[match]!, parts)
    if (key >= 0) this.known.set(key, said)
    return said
  }

  /** A number for what is said, where at most three lexemes say it; −1 where it takes more. */
  private keyOf(form: number, parts: readonly number[]): number {
    const { row, number } = this.matches.lexemes
    if (parts.length > 3) return -1
    let key = form
    for (const lexeme of parts) {
      const r = row.at[lexeme]!
      key = key * 16384 + (r >= 0 ? r + 1 : 4096 + number.at[lexeme]!)
    }
    return key
  }

  private rowOf(lexeme: number): VocabularyRow {
    return this.matches.rowOf(lexeme)
  }

  private wordOf(lexeme: number): string {
    const { row, number } = this.matches.lexemes
    return row.at[lexeme]! >= 0 ? this.rowOf(lexeme).word : `#${number.at[lexeme]}`
  }

  private make(form: number, cls: number, parts: readonly number[]): Said {
    const words = parts.map((lexeme) => this.wordOf(lexeme))
    if (form === FORM.corner) return this.corner(parts, words)
    if (form === FORM.change) return this.change(parts, words)
    if (form === FORM.distance) return this.distance(parts, words)
    if (form === FORM.feature) return this.feature(cls, parts, words)
    if (form === FORM.keep) {
      const side = this.rowOf(parts[1]!).word as Side
      const value = `keep ${side}`
      return { kind: 'position', value, timing: 'turn-in', drop: 0, meaning: { is: 'offset', side }, words: [value] }
    }
    if (form === FORM.entry) {
      const says = words.map((word) =>
        word === 'inside' ? 'in' : word === 'outside' ? 'out' : word.startsWith('#') ? word.slice(1) : word,
      )
      const said = words.map((word, i) => (word.startsWith('#') ? word : says[i]!))
      return { kind: 'shape', value: says.join(' '), timing: 'brake', drop: 0, meaning: SAID, words: said }
    }
    const row = this.rowOf(parts[0]!)
    const own = KIND_ALONE.get(row.kind)
    const kind = cls === CLASS.filler ? 'filler' : (own ?? 'filler')
    const meaning = cls === CLASS.filler ? SAID : meaningOf(row)
    return { kind, value: labelOf(row), timing: row.timing, drop: row.drop, meaning, words }
  }

  private gradeOf(lexeme: number, sign: string | null): Grade {
    const { row, number } = this.matches.lexemes
    return row.at[lexeme]! >= 0
      ? wordedGrade(this.rowOf(lexeme).word, sign)
      : numberedGrade(number.at[lexeme]!, sign, this.system)
  }

  private corner(parts: readonly number[], words: string[]): Said {
    let side: Side | null = null
    let grade = -1
    let sign: string | null = null
    let angle = false
    for (const lexeme of parts) {
      const kind = this.matches.kindOf(lexeme)
      if (kind === KIND.direction) side = this.rowOf(lexeme).word as Side
      else if (kind === KIND.sign) sign = this.rowOf(lexeme).word
      else if (kind === KIND.degrees) angle = true
      else {
        grade = lexeme
        if (kind < 0 && this.matches.lexemes.number.at[lexeme]! > 9) angle = true
      }
    }
    const said =
      grade < 0 ? null : angle ? degreesGrade(this.matches.lexemes.number.at[grade]!) : this.gradeOf(grade, sign)
    const letter = side === null ? '?' : side === 'left' ? 'L' : 'R'
    return {
      kind: 'corner',
      value: `${letter} ${said?.name ?? '?'}`,
      timing: 'brake',
      drop: 0,
      meaning: { is: 'corner', side, grade: said },
      words,
    }
  }

  private change(parts: readonly number[], words: string[]): Said {
    const row = this.rowOf(parts[0]!)
    const { geometry } = row
    const second = parts[1]
    const kind = second === undefined ? -2 : this.matches.kindOf(second)
    const late = second !== undefined && kind === KIND.line
    const twice = second !== undefined && kind === KIND.repeat
    const sign = parts[2] === undefined ? null : this.rowOf(parts[2]).word
    const to = second === undefined || late || twice ? null : this.gradeOf(second, sign)
    const after = to !== null ? ` ${to.name}` : second === undefined ? '' : ` ${labelOf(this.rowOf(second))}`
    return {
      kind: 'change',
      value: labelOf(row) + after,
      timing: 'part',
      drop: row.drop,
      meaning: {
        is: 'change',
        sense: row.word.includes('tighten') ? 'tightens' : 'opens',
        to,
        late: late || (geometry.at ?? 0) > 0.5,
        twice: twice || geometry.steps === 2,
      },
      words,
    }
  }

  private distance(parts: readonly number[], words: string[]): Said {
    const value = this.matches.lexemes.number.at[parts[0]!]!
    const unit = parts[1] === undefined ? null : this.rowOf(parts[1]).word
    return {
      kind: 'distance',
      value: unit === null ? String(value) : `${value} ${unit}`,
      timing: 'straight',
      drop: 0,
      meaning: { is: 'distance', length: value * (unit === null ? this.unit : UNIT_METRES[unit]!) },
      words,
    }
  }

  private feature(cls: number, parts: readonly number[], words: string[]): Said {
    const rows = parts.map((lexeme) => this.rowOf(lexeme))
    const value = rows.map(labelOf).join(' ')
    const noun = rows.find((row) => ['crest', 'landmark', 'object', 'surface'].includes(row.kind))!
    const relation = rows[0]!.kind === 'relation' ? rows[0]!.word : null
    const passed = cls === CLASS.landmark && noun.kind === 'object'
    return {
      kind: KIND_OF_CLASS[cls]!,
      value,
      timing: passed ? 'feature' : noun.timing,
      drop: noun.drop,
      meaning: cls === CLASS.turn ? { is: 'turn' } : cls === CLASS.crest ? crestMeaning(rows, noun, relation) : SAID,
      words,
    }
  }
}

function unknown(text: string): Said {
  return { kind: 'unknown', value: text, timing: 'turn-in', drop: 0, meaning: SAID, words: [text] }
}

function crestMeaning(rows: readonly VocabularyRow[], noun: VocabularyRow, relation: string | null): Meaning {
  if (noun.geometry.effect !== 'vertical') return SAID
  const radius = noun.geometry.radius ?? 0
  const sizes = rows.filter((row) => row.kind === 'size' && row.geometry.effect === 'vertical')
  const factor = sizes.reduce((product, row) => product * (row.geometry.factor ?? 1), 1)
  const kept =
    relation === 'over' || relation === 'through' || relation === 'after' || relation === 'before' ? relation : null
  const sense = radius < 0 ? 'dip' : (noun.sense ?? 'crest')
  return { is: 'crest', sense, relation: kept, radius: Math.abs(radius) * factor }
}

const DEGREES_OF_WARNING: Readonly<Record<string, 1 | 2 | 3>> = { 'double caution': 2, 'triple caution': 3 }

function meaningOf(row: VocabularyRow): Meaning {
  switch (row.kind) {
    case 'length':
      return { is: 'length', factor: row.geometry.factor ?? 1 }
    case 'position': {
      const side = { 'keep left': 'left', 'keep right': 'right', 'keep middle': 'middle' } as const
      return { is: 'offset', side: side[row.word as 'keep left'] ?? null }
    }
    case 'warning':
      return { is: 'warning', degree: DEGREES_OF_WARNING[row.word] ?? 1 }
    case 'link':
      return { is: 'link', length: row.geometry.metres ?? 0 }
    case 'distance':
      return { is: 'distance', length: row.geometry.metres ?? 0 }
    case 'start/finish':
      return row.word === 'start' ? { is: 'start' } : row.word === 'finish' ? { is: 'finish' } : SAID
    default:
      return SAID
  }
}
