import type { CrewWord } from '../../server/notes/notes.ts'

/** A row as it is typed: forms parted by commas. */
export interface CrewRow {
  readonly forms: string
  readonly means: string
  readonly spoken: string
}

export const EMPTY: CrewRow = { forms: '', means: '', spoken: '' }
export const isEmpty = ({ forms, means, spoken }: CrewRow): boolean => `${forms}${means}${spoken}`.trim() === ''

export const rowsOf = (
  words: readonly { forms: readonly string[]; means: string | null; spoken?: string | undefined }[],
) =>
  words.map((word): CrewRow => ({ forms: word.forms.join(', '), means: word.means ?? '', spoken: word.spoken ?? '' }))

/** Rows as they are sent: empty ones left out; a row of which only the meaning is typed keeps its place, to be told of. */
export function crewWordsOf(rows: readonly CrewRow[]): CrewWord[] {
  return rows
    .filter((row) => !isEmpty(row))
    .map(({ forms, means, spoken }) => {
      const written = forms
        .split(',')
        .map((form) => form.trim())
        .filter((form) => form !== '')
      return {
        forms: written.length > 0 ? written : [forms.trim() || ' '],
        means: means.trim() === '' ? null : means.trim(),
        ...(spoken.trim() === '' ? {} : { spoken: spoken.trim() }),
      }
    })
}

const keyOf = (stage: string) => `say-when.words.${stage}`

/** Rows the stage does not hold yet survive a closed tab. */
export function keepRows(stage: string, rows: readonly CrewRow[]): void {
  try {
    localStorage.setItem(keyOf(stage), JSON.stringify(rows.filter((row) => !isEmpty(row))))
  } catch {
    // A full or forbidden store: the server still gets them.
  }
}

export function keptRows(stage: string): CrewRow[] | null {
  try {
    const rows: unknown = JSON.parse(localStorage.getItem(keyOf(stage)) ?? 'null')
    return Array.isArray(rows) ? rows.map((row) => ({ ...EMPTY, ...(row as Partial<CrewRow>) })) : null
  } catch {
    return null
  }
}

export function dropRows(stage: string): void {
  try {
    localStorage.removeItem(keyOf(stage))
  } catch {
    // As above.
  }
}
