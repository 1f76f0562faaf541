import type { CrewWord } from '../notes/notes.ts'
import type { StageSettings } from './wire.ts'

/** A stage's own words as the parser takes them. */
export const crewWordsOf = (words: NonNullable<StageSettings['crewWords']>): CrewWord[] =>
  words.map(({ spoken, ...word }) => ({ ...word, ...(spoken === undefined ? {} : { spoken }) }))
