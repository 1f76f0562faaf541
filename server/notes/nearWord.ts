import { doubleMetaphone } from 'double-metaphone'
import type { Lexicon } from './lexicon.ts'

const LONGEST = 24

/** Number of single letters to insert, drop, change or swap with a neighbour (Damerau–Levenshtein, optimal string alignment). */
export function letterDistance(a: string, b: string): number {
  const rows = Array.from({ length: a.length + 1 }, (_, i) =>
    Array.from({ length: b.length + 1 }, (_, j) => (i === 0 ? j : j === 0 ? i : 0)),
  )
  for (let i = 1; i <= a.length; i++) {
    for (let j = 1; j <= b.length; j++) {
      const change = rows[i - 1]![j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1)
      rows[i]![j] = Math.min(change, rows[i - 1]![j]! + 1, rows[i]![j - 1]! + 1)
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        rows[i]![j] = Math.min(rows[i]![j]!, rows[i - 2]![j - 2]! + 1)
    }
  }
  return rows[a.length]![b.length]!
}

/** The known word nearest to an unknown one, by letters and by sound; null when none is near. */
export function nearWord(word: string, lexicon: Lexicon): string | null {
  if (word.length < 2 || word.length > LONGEST || !/^[a-z']+$/.test(word)) return null
  const [sound] = doubleMetaphone(word)
  let best: string | null = null
  let least = Math.max(1, word.length / 3) + 0.01
  for (const known of lexicon.words) {
    if (known === word || known.length < 3 || Math.abs(known.length - word.length) > 2 || !/^[a-z']+$/.test(known))
      continue
    const distance = letterDistance(word, known) - (sound !== '' && doubleMetaphone(known)[0] === sound ? 0.5 : 0)
    if (distance < least) {
      least = distance
      best = known
    }
  }
  return best
}
