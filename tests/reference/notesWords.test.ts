import { doubleMetaphone } from 'double-metaphone'
import numberToWords from 'number-to-words'
import { describe, expect, it } from 'vitest'
import { letterDistance } from '../../server/notes/nearWord.ts'
import { NUMBER_READINGS, numberPartOf, readNumbers } from '../../server/notes/numberWords.ts'
import { soundDistance, soundsOf } from '../../server/notes/soundAlike.ts'
import { numberInWords } from '../../server/numeric/numberInWords.ts'

/** The longest number that begins a row of words. */
function longest(text: string): number | null {
  const words = text.split(/[ ,-]+/)
  const parts = {
    part: (i: number) => numberPartOf(words[i] ?? '').part,
    value: (i: number) => numberPartOf(words[i] ?? '').value,
  }
  const out = new Int32Array(2 * NUMBER_READINGS)
  const found = readNumbers(parts, 0, out)
  let best = -1
  for (let k = 0; k < found; k++) if (best < 0 || out[2 * k + 1]! > out[2 * best + 1]!) best = k
  return best < 0 || out[2 * best + 1] !== words.length ? null : out[2 * best]!
}

// number-to-words (npm), toWords: "one thousand, two hundred thirty-four".
describe('numbers in words, one to 9,999', () => {
  it('reads what the library writes', () => {
    const wrong: number[] = []
    for (let n = 1; n <= 9999; n++) if (longest(numberToWords.toWords(n)) !== n) wrong.push(n)
    expect(wrong).toEqual([])
  })
  it('reads what is written here, short and full', () => {
    const wrong: number[] = []
    for (let n = 1; n <= 9999; n++)
      if (longest(numberInWords(n, 'short')) !== n || longest(numberInWords(n, 'full')) !== n) wrong.push(n)
    expect(wrong).toEqual([])
  })
  it('writes what the library writes, but for its "and"', () => {
    const wrong: number[] = []
    for (let n = 1; n <= 9999; n++) {
      const theirs = numberToWords.toWords(n).replace(/[,-]/g, ' ').replace(/\s+/g, ' ')
      const ours = numberInWords(n, 'full').replaceAll(' and ', ' ').replaceAll('-', ' ')
      if (ours !== theirs) wrong.push(n)
    }
    expect(wrong).toEqual([])
  })
})

describe('distances between words', () => {
  // Levenshtein's and Damerau's textbook examples: kitten/sitting 3, Saturday/Sunday 3, a swap of neighbours 1.
  it.each([
    ['kitten', 'sitting', 3],
    ['saturday', 'sunday', 3],
    ['ca', 'ac', 1],
    ['', 'abc', 3],
    ['left', 'left', 0],
  ])('%s to %s is %d letters', (a, b, d) => expect(letterDistance(a, b)).toBe(d))
  // double-metaphone (npm), its README: doubleMetaphone('michael') // => ['MKL', 'MXL'].
  it('takes sounds from the library as it publishes them', () =>
    expect(doubleMetaphone('michael')).toEqual(['MKL', 'MXL']))
  it('is nothing between words of one sound', () =>
    expect(soundDistance(soundsOf('write')!, soundsOf('right')!)).toBe(0))
  it('is the same both ways', () =>
    expect(soundDistance(soundsOf('crest')!, soundsOf('chris')!)).toBe(
      soundDistance(soundsOf('chris')!, soundsOf('crest')!),
    ))
})
