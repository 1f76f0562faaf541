import { CORNERS } from './vocabulary/corners.ts'
import { JOINS } from './vocabulary/joins.ts'
import { LINE } from './vocabulary/line.ts'
import type { VocabularyRow, WordKind } from './vocabulary/row.ts'
import { THINGS } from './vocabulary/things.ts'
import { VERTICAL } from './vocabulary/vertical.ts'

/** The one table of words: parser, autocomplete, wordings, help, road and timing all read it. */
export const VOCABULARY: readonly VocabularyRow[] = [...CORNERS, ...VERTICAL, ...LINE, ...THINGS, ...JOINS]

/** One sentence a kind for the help page; a row's own words stand beside it. */
export const KIND_HELP: Readonly<Record<WordKind, string>> = {
  grade: 'How tight the corner is; said with a side.',
  sign: 'A little faster or slower than the grade alone.',
  direction: 'Which way the corner goes.',
  degrees: 'How far a junction turns.',
  shape: 'How the corner is formed.',
  length: 'How long the corner goes on.',
  change: 'How the corner changes on the way round.',
  crest: 'Something the car goes over or through.',
  size: 'How big it is, or how sure.',
  relation: 'Joins a feature to the corner: over, through, past.',
  keep: 'Where to be on the road; said with a side.',
  position: 'Where to be on the road.',
  side: 'Which side of the corner a thing stands on.',
  cut: 'Whether the inside may be used.',
  line: 'When to turn or what to wait for.',
  warning: 'Take care with what follows.',
  motion: 'What the car does: slows, climbs, brakes.',
  object: 'Something beside the road to stay off.',
  landmark: 'Something to know the place by.',
  surface: 'What the road is made of here.',
  width: 'The road gets narrower or wider.',
  link: 'How one call follows the next.',
  unit: 'The unit of the distance before it.',
  distance: 'How far to the next call.',
  'start/finish': 'Where the stage begins and ends.',
  repeat: 'The same again.',
  filler: 'A word with no meaning of its own.',
}

/** What is said in values and aloud for a row. */
export const labelOf = (row: VocabularyRow): string => row.label ?? row.word
export const spokenOf = (row: VocabularyRow): string => row.spoken ?? labelOf(row)

const byWord = new Map(VOCABULARY.map((row) => [row.word, row]))

/** The row of a canonical word, or undefined. */
export const rowOf = (word: string): VocabularyRow | undefined => byWord.get(word)
