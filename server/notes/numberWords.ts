const UNITS = [
  'zero',
  'one',
  'two',
  'three',
  'four',
  'five',
  'six',
  'seven',
  'eight',
  'nine',
  'ten',
  'eleven',
  'twelve',
  'thirteen',
  'fourteen',
  'fifteen',
  'sixteen',
  'seventeen',
  'eighteen',
  'nineteen',
]
const TENS = ['', '', 'twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety']

const unitOf = new Map(UNITS.map((word, value) => [word, value]))
const tensOf = new Map(TENS.flatMap((word, i) => (word ? [[word, i * 10] as const] : [])))

/** True for words that are or belong to numbers. */
export const isNumberWord = (word: string): boolean =>
  unitOf.has(word) || tensOf.has(word) || word === 'hundred' || word === 'thousand'

export interface ReadNumber {
  readonly value: number
  /** Words it takes. */
  readonly length: number
}

/**
 * Every prefix of `words` (from `at`) that is one number, digits or words, shortest first: "one hundred and thirty" gives 1, 100 and 130;
 * "one thirty" gives 1 and 130; "sixty four" 60 and 64. `word(i)` is the i-th word or undefined at the end.
 */
export function readNumbers(word: (i: number) => string | undefined, at: number): ReadNumber[] {
  const first = word(at)
  if (first === undefined) return []
  if (/^\d{1,4}$/.test(first)) return [{ value: Number(first), length: 1 }]
  const found: ReadNumber[] = []
  const small = below100(word, at)
  found.push(...small)
  for (const head of small) {
    const next = word(at + head.length)
    if (next === 'hundred' && head.value >= 1 && head.value <= 99)
      found.push(...hundreds(word, at, head.value * 100, head.length + 1, 100))
    else if (next === 'thousand' && head.value >= 1 && head.value <= 9) found.push(...thousands(word, at, head))
    else if (head.length === 1 && head.value >= 1 && head.value <= 9) {
      // "one thirty": a unit, then a number of two digits.
      for (const tail of below100(word, at + 1))
        if (tail.value >= 10) found.push({ value: head.value * 100 + tail.value, length: 1 + tail.length })
    }
  }
  return found.filter((one) => one.value <= 9999)
}

function below100(word: (i: number) => string | undefined, at: number): ReadNumber[] {
  const first = word(at) ?? ''
  const unit = unitOf.get(first)
  if (unit !== undefined) return [{ value: unit, length: 1 }]
  const tens = tensOf.get(first)
  if (tens === undefined) return []
  const more = unitOf.get(word(at + 1) ?? '')
  const whole = { value: tens, length: 1 }
  return more !== undefined && more >= 1 && more <= 9 ? [whole, { value: tens + more, length: 2 }] : [whole]
}

function hundreds(
  word: (i: number) => string | undefined,
  at: number,
  base: number,
  length: number,
  below: number,
): ReadNumber[] {
  const found: ReadNumber[] = [{ value: base, length }]
  const skip = word(at + length) === 'and' ? 1 : 0
  for (const tail of below100(word, at + length + skip)) {
    if (tail.value > 0 && tail.value < below)
      found.push({ value: base + tail.value, length: length + skip + tail.length })
  }
  return found
}

function thousands(word: (i: number) => string | undefined, at: number, head: ReadNumber): ReadNumber[] {
  const base = head.value * 1000
  const length = head.length + 1
  const found = hundreds(word, at, base, length, 100)
  for (const tail of below100(word, at + length)) {
    if (tail.length === 1 && tail.value >= 1 && tail.value <= 9 && word(at + length + 1) === 'hundred') {
      found.push(...hundreds(word, at, base + tail.value * 100, length + 2, 100))
    }
  }
  return found
}
