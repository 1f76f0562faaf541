import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import type { VocabularyRow, WordKind } from '../../../server/notes/vocabulary/row.ts'
import { KIND_HELP, spokenOf, VOCABULARY } from '../../../server/notes/vocabulary.ts'
import { wordCalls } from '../../../server/notes/wordings.ts'

/** Where a word of a kind is said, `*` standing for it. */
const PLACES: Readonly<Record<WordKind, string>> = {
  grade: '* left',
  sign: '4* left, 60',
  direction: '4 *, 60',
  degrees: '45 * left',
  shape: 'hairpin left *',
  length: '5 left *',
  change: '5 left *',
  crest: '5 left over *',
  size: '5 left over * crest',
  relation: '5 left * crest',
  keep: '* left',
  position: '*, 5 left',
  side: '5 left, rocks *',
  cut: '5 left *',
  line: '5 left *',
  warning: '* 5 left',
  motion: '* 5 left',
  object: '5 left, * inside',
  landmark: '5 left at *',
  surface: '5 left, *',
  width: '5 left, *',
  link: '5 left over crest * 4 right',
  unit: '60 *',
  distance: '5 left, *, 4 right',
  'start/finish': '60, *',
  repeat: '5 left, *',
  filler: '5 left * 60',
}
const rows = VOCABULARY.filter(
  (row) => row.forms.length > 0 && !/^(one|two|three|four|five|six|seven|eight|nine)$/.test(row.word),
)
const wordsOf = (text: string) =>
  parseNotes(text, { dictated: false }).notes.calls.flatMap((call) => call.elements.flatMap((element) => element.words))
const said = (row: VocabularyRow) => {
  const place = PLACES[row.kind]
  const sign = row.kind === 'sign' ? ' ' : ''
  return row.forms.map((form) => place.replace('*', sign + form))
}
/** Forms that are another row's in this place, on purpose: a hesitation is read over, "keep" and its like are part of a position, "long" is a length. */
const ELSEWHERE = new Set(['um', 'keep', 'stay', 'hold', 'split'])

describe('the one table of words', () => {
  it('has every row read from at least one of its forms', () => {
    const lost = rows.filter(
      (row) => !ELSEWHERE.has(row.word) && !said(row).some((text) => wordsOf(text).includes(row.word)),
    )
    expect(lost.map((row) => row.word)).toEqual([])
  })
  it('has no form that the parser does not know', () => {
    const unknown = rows.flatMap((row) =>
      said(row).filter((text) =>
        parseNotes(text).notes.calls.some((call) => call.elements.some((one) => one.kind === 'unknown')),
      ),
    )
    expect(unknown).toEqual([])
  })
  it('has something to say aloud for every row', () =>
    expect(VOCABULARY.filter((row) => spokenOf(row).trim() === '')).toEqual([]))
  it('says every row in the verbose wording as the table does', () => {
    const silent = rows.filter((row) => {
      if (ELSEWHERE.has(row.word)) return false
      const text = said(row).find((one) => wordsOf(one).includes(row.word))!
      const { notes } = parseNotes(text, { dictated: false })
      const all = wordCalls(notes, 'verbose')
        .flatMap((call) => call.elements.map((one) => one.say))
        .join(' ')
      return !all.includes(spokenOf(row))
    })
    expect(silent.map((row) => row.word)).toEqual([])
  })
  it('has a sentence of help for every kind', () =>
    expect(VOCABULARY.filter((row) => !KIND_HELP[row.kind]).map((row) => row.word)).toEqual([]))
  it('has an effect on the road, a deadline and a drop priority in every row', () =>
    expect(
      VOCABULARY.filter((row) => !row.geometry.effect || !row.timing || ![0, 1, 2, 3].includes(row.drop)).map(
        (row) => row.word,
      ),
    ).toEqual([]))
  it('has no two rows of one word', () =>
    expect(new Set(VOCABULARY.map((row) => row.word)).size).toBe(VOCABULARY.length))
  it('has a form twice only where the place decides', () => {
    const by = new Map<string, string[]>()
    for (const row of VOCABULARY)
      for (const form of [...row.forms, ...(row.shorthand ?? [])]) by.set(form, [...(by.get(form) ?? []), row.word])
    expect(
      [...by]
        .filter(([, words]) => words.length > 1)
        .map(([form]) => form)
        .sort(),
    ).toEqual(SHARED)
  })
})

/** Forms of several rows: what stands beside them decides. */
const SHARED = ['-', 'blind', 'bumpy', 'exit', 'km', 'long', 'narrow', 'plus', 'rough', 'sharp']
