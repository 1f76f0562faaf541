import type { CrewWord } from './notes.ts'
import { tokenize } from './tokens.ts'
import type { VocabularyRow } from './vocabulary/row.ts'
import { rowOf, VOCABULARY } from './vocabulary.ts'

/** A node of the tree of forms: rows whose form ends here, and the words that may follow. */
export interface FormNode {
  readonly rows: VocabularyRow[]
  readonly next: Map<string, FormNode>
}

/** Every written form of every row, as a tree over tokens; and which single words are shorthand. */
export interface Lexicon {
  readonly root: FormNode
  /** Words that begin or continue some form. */
  readonly words: ReadonlySet<string>
  readonly shorthands: ReadonlySet<string>
}

const newNode = (): FormNode => ({ rows: [], next: new Map() })

/** Grade numbers are read as numbers, so that "four" and "4" are one thing. */
const isGradeNumber = (row: VocabularyRow) =>
  row.kind === 'grade' && /^(one|two|three|four|five|six|seven|eight|nine)$/.test(row.word)

/** The built-in lexicon with the crew's own words: a form they define hides every built-in row that has it. */
export function buildLexicon(crewWords: readonly CrewWord[] = []): Lexicon {
  const root = newNode()
  const words = new Set<string>()
  const shorthands = new Set<string>()
  const own = new Set(crewWords.flatMap((word) => word.forms.map((form) => key(form))))
  const add = (form: string, row: VocabularyRow) => {
    const tokens = tokenize(form)
    let node = root
    for (const { text } of tokens) {
      words.add(text)
      let next = node.next.get(text)
      if (!next) node.next.set(text, (next = newNode()))
      node = next
    }
    if (tokens.length > 0 && !node.rows.includes(row)) node.rows.push(row)
  }
  for (const row of VOCABULARY) {
    if (isGradeNumber(row)) continue
    for (const form of row.forms) if (!own.has(key(form))) add(form, row)
    for (const form of row.shorthand ?? []) {
      if (own.has(key(form))) continue
      add(form, row)
      if (/^[a-z]{1,4}$/.test(form)) shorthands.add(form)
    }
  }
  for (const word of crewWords) for (const form of word.forms) add(form, crewRow(word))
  return { root, words, shorthands }
}

const key = (form: string) =>
  tokenize(form)
    .map((token) => token.text)
    .join(' ')

function crewRow(word: CrewWord): VocabularyRow {
  const built = word.means === null ? undefined : rowOf(word.means)
  if (built) return word.spoken === undefined ? built : { ...built, spoken: word.spoken }
  return {
    word: word.forms[0]!.toLowerCase(),
    kind: 'line',
    forms: word.forms,
    ...(word.spoken === undefined ? {} : { spoken: word.spoken }),
    geometry: { effect: 'none' },
    timing: 'turn-in',
    drop: 1,
    attach: 'prev',
    rarity: 2,
  }
}

/** Where an unknown word of 2–6 letters is exactly two shorthands ("HpR"), or 0. */
export function shorthandSplit(lexicon: Lexicon, word: string): number {
  if (word.length < 2 || word.length > 6 || lexicon.words.has(word)) return 0
  for (let cut = word.length - 1; cut >= 1; cut--) {
    if (lexicon.shorthands.has(word.slice(0, cut)) && lexicon.shorthands.has(word.slice(cut))) return cut
  }
  return 0
}
