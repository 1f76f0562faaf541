import type { VocabularyRow } from '../../../server/notes/vocabulary/row.ts'
import { labelOf, VOCABULARY } from '../../../server/notes/vocabulary.ts'

/** One thing said: its kind and value as a parse gives them, and the words it is said in. A number is '#60'. */
export interface SaidElement {
  readonly kind: string
  readonly value: string
  readonly words: readonly string[]
  /** True where a new call begins: a comma or a line end may stand before it. */
  readonly opens: boolean
}

export type Style = 'numbers' | 'side-first' | 'words'
/** Every word of the table, or only its common rows by their first form. */
export type Vocabulary = 'all' | 'everyday'

const GRADE_WORDS = ['flat', 'fast', 'easy', 'medium', 'slow', 'very slow']
const rowsOf = (kind: string, test: (row: VocabularyRow) => boolean = () => true) =>
  VOCABULARY.filter((row) => row.kind === kind && row.forms.length > 0 && test(row))

const LENGTHS = rowsOf('length')
const CHANGES = rowsOf('change', (row) => !/^(tightens|opens)$/.test(row.word))
const CRESTS = rowsOf('crest')
const OBJECTS = rowsOf('object')
const LANDMARKS = rowsOf('landmark', (row) => row.geometry.effect !== 'junction')
const SURFACES = rowsOf('surface')
const POSITIONS = rowsOf('position')
const CUTS = rowsOf('cut')
const WARNINGS = rowsOf('warning')
const WIDTHS = rowsOf('width')

/**
 * A stage of `calls` calls drawn from the vocabulary: numbers or words for grades, common words more often than rare ones (8 : 3 : 1), any written form
 * of a row. What each element's value must be is known from how it was made, not from a parse.
 */
export function randomStage(
  random: () => number,
  calls: number,
  style: Style = 'numbers',
  vocabulary: Vocabulary = 'all',
): SaidElement[] {
  const made: SaidElement[] = []
  const chance = (share: number) => random() < share
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!
  const row = (rows: readonly VocabularyRow[]) => {
    const weight = (one: VocabularyRow) => (vocabulary === 'all' ? [8, 3, 1] : [8, 0, 0])[one.rarity]!
    let at = random() * rows.reduce((sum, one) => sum + weight(one), 0)
    for (const one of rows) if ((at -= weight(one)) < 0) return one
    return rows.at(-1)!
  }
  const form = (one: VocabularyRow) =>
    (vocabulary === 'everyday' || chance(0.75) ? one.forms[0]! : pick(one.forms)).split(' ')
  let opens = true
  const add = (kind: string, value: string, words: readonly string[]) => {
    made.push({ kind, value, words, opens })
    opens = false
  }
  const alone = (kind: string, rows: readonly VocabularyRow[]) => {
    const one = row(rows)
    add(kind, labelOf(one), form(one))
  }
  add('start/finish', 'start', ['start'])
  distance()
  for (let i = 0; i < calls; i++) {
    opens = true
    call()
  }
  add('start/finish', 'finish', ['finish'])
  return made

  function distance(): void {
    const value = chance(0.8) ? 10 * (2 + Math.floor(random() * 14)) : pick([15, 25, 35, 45, 180, 200, 250, 300, 400])
    add('distance', String(value), [`#${value}`])
    opens = true
  }
  function corner(): number | null {
    const side = chance(0.5) ? 'left' : 'right'
    const letter = side === 'left' ? 'L' : 'R'
    const special = random()
    if (special < 0.08) {
      const name = pick(['hairpin', 'square', 'open hairpin', 'acute', 'kink', 'flat'])
      add('corner', `${letter} ${name}`, [...name.split(' '), side])
      return null
    }
    if (style === 'words') {
      const name = pick(GRADE_WORDS)
      add('corner', `${letter} ${name}`, [...name.split(' '), side])
      return null
    }
    const grade = 1 + Math.floor(random() * 6)
    const sign = chance(0.06) ? pick(['plus', 'minus']) : null
    const mark = sign === null ? '' : sign === 'plus' ? '+' : '-'
    const said = [`#${grade}`, ...(sign === null ? [] : [sign])]
    add('corner', `${letter} ${grade}${mark}`, style === 'side-first' ? [side, ...said] : [...said, side])
    return grade
  }
  function call(): void {
    if (chance(0.07)) alone('warning', WARNINGS)
    if (chance(0.05)) alone('position', POSITIONS)
    if (chance(0.08)) feature()
    else {
      const grade = corner()
      if (chance(0.22)) alone('length', LENGTHS)
      if (chance(0.2)) change(grade)
      if (chance(0.16)) feature()
      if (chance(0.12)) alone('cut', CUTS)
      if (chance(0.07)) object()
      if (chance(0.05)) landmark()
      if (chance(0.05)) surface()
      if (chance(0.03)) alone('width', WIDTHS)
    }
    const end = random()
    if (end < 0.55) distance()
    else if (end < 0.8) add('link', 'into', ['into'])
    else if (end < 0.88) add('link', 'and', ['and'])
  }
  function feature(): void {
    const one = row(CRESTS)
    const size = chance(0.2) ? pick(['small', 'big', 'long']) : null
    // After a corner a thing without its relation reads as the corner's ("left long ford"), so crews say "over".
    const relation = !opens || chance(0.6) ? pick(['over', 'over', 'over', 'through', 'after']) : null
    const front = [...(relation === null ? [] : [relation]), ...(size === null ? [] : [size])]
    add('crest', [...front, labelOf(one)].join(' '), [...front, ...form(one)])
  }
  function change(grade: number | null): void {
    if (grade !== null && chance(0.35)) {
      const to = chance(0.75) ? Math.max(1, grade - 1 - Math.floor(random() * 2)) : Math.min(6, grade + 1)
      const verb = to < grade ? 'tightens' : to > grade ? 'opens' : null
      if (verb !== null) {
        add('change', `${verb} ${to}`, [verb, `#${to}`])
        return
      }
    }
    if (chance(0.6)) {
      const verb = grade === null || chance(0.7) ? 'tightens' : 'opens'
      add('change', verb, [verb])
    } else alone('change', CHANGES)
  }
  function object(): void {
    const one = row(OBJECTS)
    const side = chance(0.7) ? 'inside' : 'outside'
    add('object', `${labelOf(one)} ${side}`, [...form(one), side])
  }
  function landmark(): void {
    const one = row(LANDMARKS)
    const relation = pick(['at', 'past', 'after'])
    add('landmark', `${relation} ${labelOf(one)}`, [relation, ...form(one)])
  }
  function surface(): void {
    const one = row(SURFACES)
    const onto = chance(0.4) && one.rarity < 2
    add('surface', onto ? `onto ${labelOf(one)}` : labelOf(one), [...(onto ? ['onto'] : []), ...form(one)])
  }
}
