import { dictionary } from 'cmu-pronouncing-dictionary'
import { expect, it } from 'vitest'
import { VOCABULARY } from '../../server/notes/vocabulary.ts'
import { syllablesOf } from '../../server/rehearsal/scoreTake.ts'

/** CMU Pronouncing Dictionary (Carnegie Mellon University): vowels carry a stress digit, so a word has as many syllables as digits. */
const spoken = (word: string) => dictionary[word]?.match(/\d/g)?.length

const words = [
  ...new Set([
    ...VOCABULARY.flatMap((row) => [row.word, ...row.forms]).flatMap((form) => form.toLowerCase().split(/[^a-z']+/)),
    ...'one two three four five six seven eight nine ten eleven twelve twenty thirty forty fifty sixty seventy eighty ninety hundred'.split(
      ' ',
    ),
  ]),
].filter((word) => word.length > 1 && spoken(word) !== undefined)

it('counts the syllables of the words of notes as the CMU Pronouncing Dictionary does, nearly all', () => {
  const wrong = words.filter((word) => syllablesOf(word) !== spoken(word))
  expect(words.length).toBeGreaterThan(60)
  expect(wrong.length / words.length, `${wrong.length} of ${words.length} differ: ${wrong.join(' ')}`).toBeLessThan(
    0.05,
  )
})
