import { doubleMetaphone } from 'double-metaphone'
import type { Lexicon } from './lexicon.ts'

const LONGEST = 24
/** Three rows of the table, one longer than any word compared here but those of whole phrases, which get their own. */
const ROWS = 3
let rows: Int32Array[] = Array.from({ length: ROWS }, () => new Int32Array(64))

/** Number of single letters to insert, drop, change or swap with a neighbour (Damerau–Levenshtein, optimal string alignment). */
export function letterDistance(a: string, b: string): number {
  return distanceUpTo(a, b, Number.POSITIVE_INFINITY)
}

/** The same, given up as soon as it must be above `most`: then some number above it. */
function distanceUpTo(a: string, b: string, most: number): number {
  const n = b.length
  if (rows[0]!.length <= n) rows = Array.from({ length: ROWS }, () => new Int32Array(2 * n + 2))
  let [before, above, row] = rows as [Int32Array, Int32Array, Int32Array]
  for (let j = 0; j <= n; j++) above[j] = j
  for (let i = 1; i <= a.length; i++) {
    const letter = a.charCodeAt(i - 1)
    const last = i > 1 ? a.charCodeAt(i - 2) : -1
    row[0] = i
    let least = i
    for (let j = 1; j <= n; j++) {
      const other = b.charCodeAt(j - 1)
      let cost = Math.min(above[j - 1]! + (letter === other ? 0 : 1), above[j]! + 1, row[j - 1]! + 1)
      if (j > 1 && i > 1 && letter === b.charCodeAt(j - 2) && last === other) cost = Math.min(cost, before[j - 2]! + 1)
      row[j] = cost
      if (cost < least) least = cost
    }
    // A swap reaches back two rows, and costs one: nothing below can come in under the least of this row less one.
    if (least - 1 > most) return least
    const spare = before
    before = above
    above = row
    row = spare
  }
  return above[n]!
}

interface Known {
  readonly word: string
  readonly sound: string
}

/** Words of a lexicon that may be meant, by length, each with its sound: worked out once. */
const knownWords = new WeakMap<Lexicon, readonly Known[][]>()

function knownOf(lexicon: Lexicon): readonly Known[][] {
  let byLength = knownWords.get(lexicon)
  if (!byLength) {
    const made: Known[][] = []
    for (const word of lexicon.words) {
      if (word.length < 3 || !/^[a-z']+$/.test(word)) continue
      const list = (made[word.length] ??= [])
      list.push({ word, sound: doubleMetaphone(word)[0] })
    }
    byLength = made
    knownWords.set(lexicon, byLength)
  }
  return byLength
}

/** The known word nearest to an unknown one, by letters and by sound; null when none is near. */
export function nearWord(word: string, lexicon: Lexicon): string | null {
  if (word.length < 2 || word.length > LONGEST || !/^[a-z']+$/.test(word)) return null
  const [sound] = doubleMetaphone(word)
  const byLength = knownOf(lexicon)
  let best: string | null = null
  let least = Math.max(1, word.length / 3) + 0.01
  for (let length = word.length - 2; length <= word.length + 2; length++) {
    for (const known of byLength[length] ?? []) {
      if (known.word === word) continue
      const alike = sound !== '' && known.sound === sound ? 0.5 : 0
      const distance = distanceUpTo(word, known.word, least + alike) - alike
      if (distance < least) {
        least = distance
        best = known.word
      }
    }
  }
  return best
}
