import { numberInWords } from '../numeric/numberInWords.ts'

export interface PhraseOptions {
  /** 'short' as crews read numbers ("one thirty"), 'full' as they are written out. */
  readonly numbers: 'short' | 'full'
}

const SYMBOLS: Readonly<Record<string, string>> = {
  '+': 'plus',
  '-': 'minus',
  '&': 'and',
  '°': 'degrees',
  '½': 'half',
  '%': 'percent',
  '/': ' ',
  '@': 'at',
}
/** Longest text phrased at once: far above any call, far below what would keep a voice busy for minutes. */
const LONGEST = 400

/**
 * Text to the words that are said. Pure, never throws: numbers become words, signs are spelt, and what no voice can say is left out, so that
 * only letters, marks, apostrophes and inner hyphens remain (also the strict list that keeps markup and commands from every engine).
 * "130" → one thirty; "4+" → four plus; "don't cut" stays.
 */
export function phrase(say: string, options: PhraseOptions = { numbers: 'short' }): string[] {
  const spelt = say
    .slice(0, LONGEST)
    .normalize('NFC')
    .replace(/’/g, "'")
    .replace(/\d+/g, (digits) => ` ${digitsInWords(digits, options.numbers)} `)
    .replace(/(?<=\p{L})-(?=\p{L})/gu, '\u0001')
    .replace(/[+\-&°½%/@]/g, (symbol) => ` ${SYMBOLS[symbol]} `)
    .replace(/\u0001/g, '-')
  return spelt
    .split(/[^\p{L}\p{M}'-]+/u)
    .map((word) => word.replace(/^['-]+|['-]+$/g, ''))
    .filter((word) => word !== '')
}

/** Up to 9,999 as a number; longer ones digit by digit, as a telephone number is read. */
function digitsInWords(digits: string, style: 'short' | 'full'): string {
  const value = Number(digits)
  if (digits.length <= 4 && Number.isInteger(value)) return numberInWords(value, style)
  return [...digits].map((digit) => numberInWords(Number(digit), style)).join(' ')
}
