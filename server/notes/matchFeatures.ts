import type { Lexeme } from './lattice.ts'
import type { Match } from './match.ts'
import { type Reading, readGrades } from './matchCorners.ts'
import type { Meaning, Side } from './notes.ts'
import type { VocabularyRow } from './vocabulary/row.ts'
import { labelOf } from './vocabulary.ts'

const FILLER_AFTER_RELATION = 0.25
const BARE_NOUN = 0.3
const SIDE_BY_DIRECTION = 0.9
const SIZED = 0.1
const EXTRA_SIZE_DEPTH = 2

/** A run of lexemes read so far. */
interface Span {
  readonly from: number
  readonly to: number
  readonly next: number
  readonly cost: number
  readonly words: readonly string[]
  readonly says: readonly string[]
  readonly repairs: Lexeme['repairs']
}

const begin = (lexeme: Lexeme): Span => ({
  from: lexeme.from,
  to: lexeme.to,
  next: lexeme.next,
  cost: lexeme.cost,
  words: [lexeme.row!.word],
  says: [labelOf(lexeme.row!)],
  repairs: lexeme.repairs,
})

const join = (span: Span, lexeme: Lexeme, reading: Reading, extra = 0, says = labelOf(lexeme.row!)): Span => ({
  from: span.from,
  to: lexeme.to,
  next: lexeme.next,
  cost: span.cost + lexeme.cost + reading.apart(span.next) + extra,
  words: [...span.words, lexeme.row!.word],
  says: [...span.says, says],
  repairs: [...span.repairs, ...lexeme.repairs],
})

const match = (span: Span, rest: Pick<Match, 'cls' | 'kind' | 'meaning' | 'timing' | 'drop'>, cost = 0): Match => ({
  ...rest,
  value: span.says.join(' '),
  words: span.words,
  from: span.from,
  to: span.to,
  next: span.next,
  cost: span.cost + cost,
  repairs: span.repairs,
})

/** How well a relation and the noun after it go together (notes-grammar: over/through with crests, onto with surfaces, past with anything). */
function suits(relation: string, noun: VocabularyRow): number {
  const group = { crest: 0, landmark: 1, surface: 2, object: 3 }[noun.kind as 'crest'] ?? 3
  if (['over', 'through', 'under'].includes(relation)) return [0, 0.5, 1, 1.2][group]!
  if (['onto', 'on'].includes(relation)) return [0.8, 0.3, 0, 0.8][group]!
  if (['past', 'at', 'after', 'before'].includes(relation)) return 0
  return group === 0 ? 1.5 : 0.3
}

function crestMeaning(noun: VocabularyRow, span: Span, relation: string | null): Meaning {
  const radius = Math.abs(noun.geometry.radius ?? 0)
  if (noun.geometry.effect !== 'vertical') return { is: 'said' }
  const factor = span.words.reduce((product, word) => product * (SIZE_FACTORS[word] ?? 1), 1)
  const sense =
    noun.geometry.radius! < 0
      ? 'dip'
      : ['jump', 'yump', 'ramp', 'hump'].includes(noun.word)
        ? 'jump'
        : ['bump', 'bumps', 'step', 'speed bump'].includes(noun.word)
          ? 'bump'
          : 'crest'
  const kept =
    relation === 'over' || relation === 'through' || relation === 'after' || relation === 'before' ? relation : null
  return { is: 'crest', sense, relation: kept, radius: radius * factor }
}

const SIZE_FACTORS: Readonly<Record<string, number>> = { small: 2, big: 0.6, 'sharp size': 0.7 }

/** Everything a noun can end: crest, landmark, object with its side, surface with what it becomes. */
function withNoun(span: Span, noun: Lexeme, relation: string | null, reading: Reading): Match[] {
  const row = noun.row!
  const bare = relation === null ? (span.words.length > 1 ? SIZED : BARE_NOUN) : 0
  const cost = relation === null ? bare : suits(relation, row)
  switch (row.kind) {
    case 'crest':
      return [
        match(
          span,
          {
            cls: 'crest',
            kind: 'crest',
            meaning: crestMeaning(row, span, relation),
            timing: row.timing,
            drop: row.drop,
          },
          cost,
        ),
      ]
    case 'landmark': {
      if (row.geometry.effect === 'junction') {
        return [
          match(
            span,
            { cls: 'turn', kind: 'landmark', meaning: { is: 'turn' }, timing: row.timing, drop: row.drop },
            cost - bare,
          ),
        ]
      }
      const surface = relation === 'onto' || relation === 'on'
      const kind = surface ? 'surface' : 'landmark'
      return [match(span, { cls: kind, kind, meaning: { is: 'said' }, timing: row.timing, drop: row.drop }, cost)]
    }
    case 'object':
      return objectMatches(span, row, relation, cost, reading)
    case 'surface':
      return surfaceMatches(span, row, cost - bare, reading)
    default:
      return []
  }
}

function objectMatches(
  span: Span,
  row: VocabularyRow,
  relation: string | null,
  cost: number,
  reading: Reading,
): Match[] {
  const passed = relation !== null && ['past', 'at', 'after', 'before'].includes(relation)
  const base = { meaning: { is: 'said' }, timing: passed ? 'feature' : row.timing, drop: row.drop } as const
  const kind = passed ? 'landmark' : 'object'
  const found = [match(span, { cls: kind, kind, ...base }, cost)]
  if (passed) return found
  for (const side of reading.lexemes(span.next)) {
    if (side.row?.kind === 'side') found.push(match(join(span, side, reading), { cls: kind, kind, ...base }, cost))
    else if (side.row?.kind === 'direction')
      found.push(match(join(span, side, reading, SIDE_BY_DIRECTION), { cls: kind, kind, ...base }, cost))
  }
  return found
}

function surfaceMatches(span: Span, row: VocabularyRow, cost: number, reading: Reading): Match[] {
  const rest = { cls: 'surface', kind: 'surface', meaning: { is: 'said' }, timing: row.timing, drop: row.drop } as const
  const found = [match(span, rest, cost)]
  for (const next of reading.lexemes(span.next)) {
    if (next.row?.kind === 'side' && next.row.word.startsWith('on '))
      found.push(match(join(span, next, reading), rest, cost))
    if (next.row?.word !== 'to') continue
    const joined = join(span, next, reading)
    for (const other of reading.lexemes(next.next)) {
      if (other.row?.kind === 'surface') found.push(match(join(joined, other, reading, -0.9), rest, cost))
    }
  }
  return found
}

/** Relation, sizes and noun: "over small crest", "past logs", "maybe jump", "narrow bridge". `first` is a relation, a size or a noun. */
export function features(first: Lexeme, reading: Reading): Match[] {
  const kind = first.row?.kind
  if (kind === 'relation') return afterRelation(begin(first), first.row!.word, reading, 0)
  if (kind === 'size') return afterSize(begin(first), null, reading, 0)
  if (kind === 'crest' || kind === 'landmark' || kind === 'object' || kind === 'surface')
    return withNoun(begin(first), first, null, reading)
  return []
}

function afterRelation(span: Span, relation: string, reading: Reading, fillers: number): Match[] {
  return reading.lexemes(span.next).flatMap((lexeme) => {
    const kind = lexeme.row?.kind
    if (kind === 'filler' && fillers < 1 && (lexeme.row!.word === 'the' || lexeme.row!.word === 'a')) {
      const skipped = { ...join(span, lexeme, reading, FILLER_AFTER_RELATION), words: span.words, says: span.says }
      return afterRelation(skipped, relation, reading, fillers + 1)
    }
    if (kind === 'size') return afterSize(join(span, lexeme, reading), relation, reading, 0)
    if (kind === 'crest' || kind === 'landmark' || kind === 'object' || kind === 'surface')
      return withNoun(join(span, lexeme, reading), lexeme, relation, reading)
    return []
  })
}

function afterSize(span: Span, relation: string | null, reading: Reading, depth: number): Match[] {
  return reading.lexemes(span.next).flatMap((lexeme) => {
    const kind = lexeme.row?.kind
    if (kind === 'size' && depth < EXTRA_SIZE_DEPTH)
      return afterSize(join(span, lexeme, reading), relation, reading, depth + 1)
    if (kind === 'crest' || kind === 'landmark' || kind === 'object')
      return withNoun(join(span, lexeme, reading), lexeme, relation, reading)
    return []
  })
}

/** "tightens", "tightens to 2", "> late", "opens 5+": a change, with its target or its moment. */
export function changes(first: Lexeme, reading: Reading): Match[] {
  const row = first.row!
  const sense = row.word.includes('tighten') ? 'tightens' : 'opens'
  const make = (
    span: Span,
    q: { to?: ReturnType<typeof readGrades>[number]; late?: boolean; twice?: boolean } = {},
  ): Match =>
    match(span, {
      cls: 'change',
      kind: 'change',
      meaning: {
        is: 'change',
        sense,
        to: q.to?.grade ?? null,
        late: q.late ?? (row.geometry.at ?? 0) > 0.5,
        twice: q.twice ?? row.geometry.steps === 2,
      },
      timing: 'part',
      drop: row.drop,
    })
  const plain = begin(first)
  const found = [make(plain)]
  const target = (span: Span, node: number) => {
    for (const lexeme of reading.lexemes(node)) {
      for (const to of readGrades(lexeme, reading)) {
        found.push(
          make(
            {
              ...span,
              to: to.to,
              next: to.next,
              cost: span.cost + to.cost + reading.apart(node),
              words: [...span.words, ...to.words],
              says: [...span.says, to.name],
              repairs: [...span.repairs, ...to.repairs],
            },
            { to },
          ),
        )
      }
    }
  }
  target(plain, plain.next)
  for (const next of reading.lexemes(plain.next)) {
    if (next.row?.word === 'to')
      target({ ...join(plain, next, reading, -0.45), words: plain.words, says: plain.says }, next.next)
    if (next.row?.word === 'late' && row.geometry.at === undefined)
      found.push(make(join(plain, next, reading, -0.45), { late: true }))
    if (next.row?.word === 'twice') found.push(make(join(plain, next, reading, -0.45), { twice: true }))
  }
  return found
}

/** "keep left", "KR", "stay in". */
export function keeps(first: Lexeme, reading: Reading): Match[] {
  return reading.lexemes(first.next).flatMap((lexeme) => {
    if (lexeme.row?.kind !== 'direction') return []
    const side = lexeme.row.word as Side
    const span = { ...join(begin(first), lexeme, reading), words: [`keep ${side}`], says: [`keep ${side}`] }
    return [
      match(span, { cls: 'position', kind: 'position', meaning: { is: 'offset', side }, timing: 'turn-in', drop: 0 }),
    ]
  })
}

/** "entry 2 in 1 out": how many gates, and which way. */
export function entries(first: Lexeme, reading: Reading): Match[] {
  const found: Match[] = []
  const extend = (span: Span, depth: number) => {
    for (const number of reading.lexemes(span.next)) {
      if (number.number === null || number.number > 9) continue
      for (const side of reading.lexemes(number.next)) {
        if (side.row?.word !== 'inside' && side.row?.word !== 'outside') continue
        const says = side.row.word === 'inside' ? 'in' : 'out'
        const next: Span = {
          from: span.from,
          to: side.to,
          next: side.next,
          cost: span.cost + number.cost + side.cost + reading.apart(span.next) + reading.apart(number.next) - 0.45,
          words: [...span.words, `#${number.number}`, says],
          says: [...span.says, String(number.number), says],
          repairs: [...span.repairs, ...number.repairs, ...side.repairs],
        }
        found.push(match(next, { cls: 'shape', kind: 'shape', meaning: { is: 'said' }, timing: 'brake', drop: 0 }))
        if (depth < 3) extend(next, depth + 1)
      }
    }
  }
  if (first.row?.word === 'entry') extend(begin(first), 0)
  return found
}
