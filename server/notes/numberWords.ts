const UNITS =
  'zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen'.split(
    ' ',
  )
const TENS = ['', '', 'twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety']

/** What part of a number a word can be. */
export const NUMBER_PART = { none: 0, unit: 1, teen: 2, tens: 3, hundred: 4, thousand: 5, and: 6 } as const

const parts = new Map<string, { part: number; value: number }>()
UNITS.forEach((word, value) => {
  parts.set(word, { part: value < 10 ? NUMBER_PART.unit : NUMBER_PART.teen, value })
})
TENS.forEach((word, i) => {
  if (word) parts.set(word, { part: NUMBER_PART.tens, value: i * 10 })
})
parts.set('hundred', { part: NUMBER_PART.hundred, value: 100 })
parts.set('thousand', { part: NUMBER_PART.thousand, value: 1000 })
parts.set('and', { part: NUMBER_PART.and, value: 0 })
const NO_PART = { part: 0, value: 0 }

/** The part of a number a word is, and its value. */
export const numberPartOf = (word: string): { part: number; value: number } => parts.get(word) ?? NO_PART

/** True for words that are or belong to numbers. */
export const isNumberWord = (word: string): boolean => numberPartOf(word).part !== 0 && word !== 'and'

/** A row of words as number parts: part (NUMBER_PART) and value by place; 0 past the end. */
export interface NumberParts {
  part(i: number): number
  value(i: number): number
}

/** Room for every reading of one place: pairs of value and length. */
export const NUMBER_READINGS = 32

/**
 * Every prefix of the words from `at` that is one number, written to `out` as value, length, value, length …; returns how many. "one hundred and
 * thirty" gives 1, 100 and 130; "one thirty" gives 1 and 130; "sixty four" gives 60 and 64, "hundred and ten" 100 and 110. None is above 9,999.
 */
export function readNumbers(words: NumberParts, at: number, out: Int32Array): number {
  const part = words.part(at)
  if (part === NUMBER_PART.hundred) return hundreds(words, at, 100, 1, out, 0)
  if (part < NUMBER_PART.unit || part > NUMBER_PART.tens) return 0
  let count = below100(words, at, 0, 1, 0, out, 0)
  const heads = count
  for (let h = 0; h < heads; h++) {
    const head = out[2 * h]!
    const length = out[2 * h + 1]!
    const next = words.part(at + length)
    if (next === NUMBER_PART.hundred && head >= 1) count = hundreds(words, at, head * 100, length + 1, out, count)
    else if (next === NUMBER_PART.thousand && head >= 1 && head <= 9) {
      count = thousands(words, at, head * 1000, length + 1, out, count)
    } else if (length === 1 && head >= 1 && head <= 9) count = below100(words, at + 1, head * 100, 10, 1, out, count)
  }
  return count
}

/** A number below 100 at `at`, at least `least`, added to `base`, its length to `before`. */
function below100(
  words: NumberParts,
  at: number,
  base: number,
  least: number,
  before: number,
  out: Int32Array,
  count: number,
): number {
  const part = words.part(at)
  if (part < NUMBER_PART.unit || part > NUMBER_PART.tens || count >= NUMBER_READINGS - 2) return count
  const value = words.value(at)
  if (value >= least || (base === 0 && before === 0)) {
    out[2 * count] = base + value
    out[2 * count + 1] = before + 1
    count++
  }
  if (part === NUMBER_PART.tens && words.part(at + 1) === NUMBER_PART.unit && words.value(at + 1) > 0) {
    out[2 * count] = base + value + words.value(at + 1)
    out[2 * count + 1] = before + 2
    count++
  }
  return count
}

function hundreds(
  words: NumberParts,
  at: number,
  base: number,
  length: number,
  out: Int32Array,
  count: number,
): number {
  if (count >= NUMBER_READINGS - 3) return count
  out[2 * count] = base
  out[2 * count + 1] = length
  const skip = words.part(at + length) === NUMBER_PART.and ? 1 : 0
  return below100(words, at + length + skip, base, 1, length + skip, out, count + 1)
}

function thousands(
  words: NumberParts,
  at: number,
  base: number,
  length: number,
  out: Int32Array,
  count: number,
): number {
  count = hundreds(words, at, base, length, out, count)
  const unit = words.value(at + length)
  const more = words.part(at + length) === NUMBER_PART.unit && unit > 0
  if (!more || words.part(at + length + 1) !== NUMBER_PART.hundred) return count
  return hundreds(words, at, base + unit * 100, length + 2, out, count)
}
