import { LONGEST_FORM } from './lexemes.ts'
import { formKey, spellingsOf } from './lexicon.ts'
import { letterDistance } from './nearWord.ts'
import type { CrewWord } from './notes.ts'
import { isNumberWord } from './numberWords.ts'
import { tokenize } from './tokens.ts'
import type { VocabularyRow } from './vocabulary/row.ts'
import { labelOf, rowOf, VOCABULARY } from './vocabulary.ts'

/** Ways of writing in one row, and letters of each. */
const MOST_FORMS = 10
const LONGEST = 40

/** Something to say of a row of the crew's table; `row` counts from 0. */
export interface RowRemark {
  readonly row: number
  readonly says: string
}

export interface CrewTableCheck {
  /** The first thing wrong with each row that cannot be used: what, and how to mend it. */
  readonly problems: readonly RowRemark[]
  /** What good rows take from the built-in table. */
  readonly notices: readonly RowRemark[]
}

const builtInWords = (): Map<string, VocabularyRow[]> => {
  const words = new Map<string, VocabularyRow[]>()
  for (const row of VOCABULARY) {
    for (const form of [...row.forms, ...(row.shorthand ?? [])].flatMap(spellingsOf)) {
      const key = formKey(form)
      words.set(key, [...(words.get(key) ?? []), row])
    }
  }
  return words
}
let builtIn: Map<string, VocabularyRow[]> | null = null

/** Checks a crew's own table row by row: a row is used whole or not at all. Never throws. */
export function checkCrewTable(rows: readonly CrewWord[]): CrewTableCheck {
  builtIn ??= builtInWords()
  const problems: RowRemark[] = []
  const notices: RowRemark[] = []
  const taken = new Map<string, number>()
  rows.forEach((word, row) => {
    const says = meaningProblem(word) ?? formProblem(word, row, taken)
    if (says !== null) {
      problems.push({ row, says })
      return
    }
    for (const form of word.forms) {
      const others = (builtIn!.get(formKey(form)) ?? []).filter((one) => one.word !== word.means)
      const names = [...new Set(others.map((one) => `“${labelOf(one)}”`))]
      if (names.length > 0)
        notices.push({
          row,
          says: `“${form}” is read by your row alone now; built in, it means ${names.join(' or ')}.`,
        })
    }
  })
  return { problems, notices }
}

/** What is wrong with a table that came from a file of unknown make, in one sentence, or null. */
export function crewTableFault(table: unknown): string | null {
  if (table === undefined) return null
  const isRow = (row: unknown): row is CrewWord => {
    const { forms, means, spoken } = (row ?? {}) as Partial<CrewWord>
    const texts = Array.isArray(forms) && forms.length > 0 && forms.every((form) => typeof form === 'string')
    return texts && (means === null || typeof means === 'string') && ['string', 'undefined'].includes(typeof spoken)
  }
  if (!Array.isArray(table)) return 'it is no list of rows; each row is {"forms": ["zg"], "means": "chicane"}.'
  const bad = table.findIndex((row) => !isRow(row))
  if (bad >= 0)
    return `row ${bad + 1} has not the form {"forms": ["zg"], "means": "chicane"}, where "means" may be null and "spoken" may be added.`
  const first = checkCrewTable(table as CrewWord[]).problems[0]
  return first === undefined ? null : `row ${first.row + 1}: ${first.says}`
}

function meaningProblem({ means }: CrewWord): string | null {
  if (means === null || rowOf(means) !== undefined) return null
  const near = nearestWord(means)
  const hint = near === null ? '' : ` Did you mean “${near}”?`
  return `“${means}” is no word of the built-in table.${hint} Choose one from the list, or leave it empty for a word that is only said.`
}

function formProblem({ forms }: CrewWord, row: number, taken: Map<string, number>): string | null {
  if (forms.every((form) => form.trim() === '')) return 'Nothing is written here: put the word or sign as you write it.'
  if (forms.length > MOST_FORMS) return `${forms.length} ways of writing stand here; ${MOST_FORMS} are the most.`
  for (const form of forms) {
    if (form.length > LONGEST) return `“${form.slice(0, 20)}…” has ${form.length} letters; ${LONGEST} are the most.`
    const tokens = tokenize(form)
    if (tokens.length === 0)
      return `“${form}” is read as a pause or a comment, not as a word: use letters, or a sign such as % or *.`
    if (tokens.length > LONGEST_FORM) return `“${form}” has ${tokens.length} words; ${LONGEST_FORM} are the most.`
    if (tokens.every(({ text }) => /^\d+$/.test(text) || isNumberWord(text)))
      return `“${form}” is a number, and numbers stay grades and distances: write it with a letter.`
    const key = formKey(form)
    const other = taken.get(key)
    if (other !== undefined && other !== row)
      return `“${form}” stands in row ${other + 1} already; keep one of the two.`
    taken.set(key, row)
  }
  return null
}

function nearestWord(word: string): string | null {
  let best: string | null = null
  let least = Math.max(1, word.length / 3)
  for (const row of VOCABULARY) {
    const apart = letterDistance(word.toLowerCase(), row.word)
    if (apart <= least && (best === null || apart < least)) {
      best = row.word
      least = apart
    }
  }
  return best
}
