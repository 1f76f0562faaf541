import { MOST_NAME } from './clubWire.ts'

/**
 * A name as it is shown: control characters and marks that turn the writing direction of what follows are left out (a right-to-left name shows right to left
 * by itself), runs of white space become one space, at most 40 characters as a reader counts them. Joiners stay: emoji of several signs need them.
 * Pages set it as text, never as markup. Empty becomes `otherwise`.
 */
export function cleanName(raw: string, otherwise: string): string {
  const plain = raw
    .normalize('NFC')
    .replace(/[\p{Cc}\p{Co}\p{Cs}\u061c\u200b\u200e\u200f\u202a-\u202e\u2060-\u206f\ufeff]/gu, ' ')
    .replace(/\s+/gu, ' ')
    .trim()
  const signs = [...new Intl.Segmenter('en', { granularity: 'grapheme' }).segment(plain)]
  const short = signs
    .slice(0, MOST_NAME)
    .map((one) => clip(one.segment))
    .join('')
    .trim()
  return short === '' ? otherwise : short
}

/** One sign may carry some marks, not a tower of them that runs over the lines above. */
const MOST_UNITS = 24
const clip = (sign: string) => {
  const marks = sign.match(/\p{M}/gu)
  return marks !== null && marks.length > 4 ? sign.replace(/\p{M}/gu, '') : sign.slice(0, MOST_UNITS)
}

/** `name`, or "name (2)", "name (3)" … where others bear it already; letters of other case count as the same. */
export function freeName(name: string, taken: readonly string[]): string {
  const used = new Set(taken.map((one) => one.toLocaleLowerCase('en')))
  if (!used.has(name.toLocaleLowerCase('en'))) return name
  for (let n = 2; ; n++) {
    const next = `${name} (${n})`
    if (!used.has(next.toLocaleLowerCase('en'))) return next
  }
}
