import type { CrewWord } from '../notes/notes.ts'
import { KIND_HELP, labelOf, rowOf, VOCABULARY } from '../notes/vocabulary.ts'
import type { VocabularyEntry } from './wireNotes.ts'

/** The table of words as pages offer it: the crew's own rows first, and without the built-in forms they take the place of. */
export function vocabularyView(crewWords: readonly CrewWord[] = []): VocabularyEntry[] {
  const own = new Set(crewWords.flatMap((word) => word.forms.map((form) => form.toLowerCase())))
  const free = (forms: readonly string[]) => forms.filter((form) => !own.has(form.toLowerCase()))
  return [
    ...crewWords.map((word): VocabularyEntry => {
      const row = word.means === null ? undefined : rowOf(word.means)
      const help = row ? `Your own word for “${labelOf(row)}”.` : 'Your own word, only said.'
      return {
        word: word.means ?? word.forms[0]!,
        kind: row?.kind ?? 'line',
        forms: word.forms,
        shorthand: [],
        help,
        own: true,
      }
    }),
    ...VOCABULARY.map((row) => ({
      word: labelOf(row),
      row: row.word,
      kind: row.kind,
      forms: free(row.forms),
      shorthand: free(row.shorthand ?? []),
      help: KIND_HELP[row.kind],
    })),
  ]
}
