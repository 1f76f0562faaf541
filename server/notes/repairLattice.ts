import { buildLattice, type Lattice, type Repair, type WordArc } from './lattice.ts'
import type { Lexicon } from './lexicon.ts'
import { pairAlikes, soundAlikes } from './soundAlike.ts'
import { LINE_END, type Token } from './tokens.ts'

/** What recognisers write for another word of the same sound: word, meant, cost. Chosen by hand between 0.2 and 1.0 (weak ones up to 2.2), not fitted to data. */
const HOMOPHONES: readonly (readonly [string, string, number])[] = [
  ['for', 'four', 0.3],
  ['fore', 'four', 0.2],
  ['to', 'two', 0.5],
  ['too', 'two', 0.3],
  ['won', 'one', 0.3],
  ['ate', 'eight', 0.3],
  ['write', 'right', 0.2],
  ['rite', 'right', 0.2],
  ['wright', 'right', 0.2],
  ['passed', 'past', 0.2],
  ['break', 'brake', 0.3],
  ['sicks', 'six', 0.2],
  ['sex', 'six', 0.4],
  ['offer', 'over', 0.5],
  ['chris', 'crest', 0.5],
  ['lift', 'left', 1],
  ['titans', 'tightens', 0.5],
  ['along', 'long', 0.8],
  ['threw', 'through', 0.3],
  ['gait', 'gate', 0.3],
  ['an', 'and', 0.4],
  ['far', 'four', 1],
  ['tree', 'three', 1.6],
  ['fife', 'five', 0.4],
  ['too', 'to', 0.6],
  ['two', 'to', 2.2],
]
const meantBy = new Map<string, { word: string; cost: number }[]>()
for (const [word, meant, cost] of HOMOPHONES) meantBy.set(word, [...(meantBy.get(word) ?? []), { word: meant, cost }])

/** Two words that were one. */
const HEARD_AS_TWO = new Map([
  ['of a', { word: 'over', cost: 0.4 }],
  ['in two', { word: 'into', cost: 0.6 }],
])
/** A comma stands between the two: recognisers strew some. */
const PARTED = 0.8
const JOINED = 0.3
const ONE_NUMBER = 0.8
/** A word the crew says often is the likelier guess: what its natural logarithm of times takes off, and what is left at the least. */
const SAID_OFTEN = 0.4
const LEAST_SOUND = 0.3
const SPLIT_WORD = 0.8
/** A word with a listed homophone is more likely that than another near sound. */
const LISTED = 1.2
const TYPED_SPLIT = 0.8
const TEEN = 1.8
/** By maps, not objects: "constructor" is a word too. */
const TEENS = new Map([
  ['thirteen', 'thirty'],
  ['fourteen', 'forty'],
  ['fifteen', 'fifty'],
  ['sixteen', 'sixty'],
  ['seventeen', 'seventy'],
  ['eighteen', 'eighty'],
  ['nineteen', 'ninety'],
])

const UNITS = 'one two three four five six seven eight nine'.split(' ')
const DIGIT_WORDS = new Map(UNITS.map((word, i) => [String(i + 1), word] as const))

export const isHomophone = (word: string): boolean => meantBy.has(word)

/** The text as it stands and as it may have been meant: every guess is one more way with its cost. Linear in the tokens. */
export function repairLattice(tokens: readonly Token[], lexicon: Lexicon, dictated: boolean): Lattice {
  const guesses: WordArc[] = []
  const inside: { node: number; after: number }[] = []
  const halves: WordArc[] = []
  const usage = usageOf(tokens)
  for (let i = 0; i < tokens.length; i++) {
    const token = tokens[i]!
    const { from, to } = token
    for (const { word, code, cost } of wordsMeant(token.text, lexicon)) {
      const often = code === 'sound' ? SAID_OFTEN * Math.log1p(usage.get(word) ?? 0) : 0
      guesses.push(guess(i, i + 1, code, from, to, word, Math.max(Math.min(cost, LEAST_SOUND), cost - often)))
    }
    const following = tokens[i + 1]
    const together = following && (following.before === 0 || (dictated && following.before <= LINE_END))
    if (following && together && !following.glued) {
      const parted = following.before > 0 && following.before < LINE_END ? PARTED : 0
      for (const { word, code, cost } of oneWord(token.text, following.text, lexicon))
        guesses.push(guess(i, i + 2, code, from, following.to, word, cost + parted))
    }
    const hundreds = following && following.before === 0 ? teenAfterHundreds(token.text, following.text) : null
    if (hundreds) {
      const { text, insert } = hundreds
      const repair: Repair = { code: 'teen', from, to: following!.to, insert, cost: TEEN }
      guesses.push({ node: i, text, from, to: following!.to, next: i + 2, repair })
    }
    const joined = dictated && following && following.before === 0 ? oneNumber(token.text, following.text) : null
    if (joined) guesses.push(guess(i, i + 2, 'join', from, following!.to, joined.text, joined.cost))
    for (const [first, second, code, cost, cut] of twoWords(token.text, lexicon, dictated)) {
      const node = tokens.length + 1 + inside.length
      inside.push({ node, after: i })
      const insert = code === 'split-number' ? `${first}, ${second}` : `${first} ${second}`
      const repair: Repair = { code, from, to, insert, cost }
      guesses.push({ node: i, text: first, from, to: from + cut, next: node, repair })
      halves.push({ node, text: second, from: from + cut, to, next: i + 1, repair, priced: false })
    }
  }
  return buildLattice(tokens, lexicon, [...guesses, ...halves], inside)
}

/** How often each word stands in the text, numbers by their words: what a crew says often is the likelier guess. */
function usageOf(tokens: readonly Token[]): ReadonlyMap<string, number> {
  const usage = new Map<string, number>()
  for (const { text } of tokens) {
    const word = DIGIT_WORDS.get(text) ?? text
    usage.set(word, (usage.get(word) ?? 0) + 1)
  }
  return usage
}

function guess(
  node: number,
  next: number,
  code: Repair['code'],
  from: number,
  to: number,
  insert: string,
  cost: number,
): WordArc {
  return { node, text: insert, from, to, next, repair: { code, from, to, insert, cost } }
}

interface Meant {
  readonly word: string
  readonly code: Repair['code']
  readonly cost: number
}

function wordsMeant(text: string, lexicon: Lexicon): Meant[] {
  if (/^1[3-9]$/.test(text)) return [{ word: `${text[1]}0`, code: 'teen', cost: TEEN }]
  if (!/^[a-z']+$/.test(text)) return []
  const found: Meant[] = []
  const listed = meantBy.get(text) ?? []
  for (const { word, cost } of listed) found.push({ word, code: 'homophone', cost })
  const teen = TEENS.get(text)
  if (teen) found.push({ word: teen, code: 'teen', cost: TEEN })
  if (text.length < 3) return found
  const dearer = listed.length > 0 ? LISTED : 0
  for (const one of soundAlikes(text, lexicon)) {
    if (one.word !== teen && !listed.some((other) => other.word === one.word))
      found.push({ word: one.word, code: 'sound', cost: one.cost + dearer })
  }
  return found
}

function oneWord(a: string, b: string, lexicon: Lexicon): Meant[] {
  const heard = HEARD_AS_TWO.get(`${a} ${b}`)
  if (heard) return [{ ...heard, code: 'homophone' }]
  if (!/^[a-z]+$/.test(a) || !/^[a-z]+$/.test(b) || a.length + b.length < 4) return []
  if (lexicon.words.has(a + b)) return [{ word: a + b, code: 'join', cost: JOINED }]
  return pairAlikes(a, b, lexicon).map((one) => ({ word: one.word, code: 'sound', cost: one.cost }))
}

/** "One fifteen" that was "one fifty": the number in digits, and how to write it. */
function teenAfterHundreds(a: string, b: string): { text: string; insert: string } | null {
  const hundreds = UNITS.indexOf(a) + 1
  const tens = TEENS.get(b)
  if (hundreds === 0 || tens === undefined) return null
  return { text: `${hundreds}${[...TEENS.values()].indexOf(tens) + 3}0`, insert: `${a} ${tens}` }
}

/** Digits that were one number: "1 30" said "one thirty", "100 30" said "one hundred and thirty". */
function oneNumber(a: string, b: string): { text: string; cost: number } | null {
  if (!/^[1-9]0$/.test(b)) return null
  if (/^[1-9]$/.test(a)) return { text: a + b, cost: ONE_NUMBER }
  return /^[1-9]00$/.test(a) ? { text: a[0] + b, cost: ONE_NUMBER } : null
}

type Halves = [string, string, 'split-number' | 'split-word', number, number]

function twoWords(text: string, lexicon: Lexicon, dictated: boolean): Halves[] {
  const digits = splits(text, dictated).map(([a, b, cost, cut]): Halves => [a, b, 'split-number', cost, cut])
  if (!/^[a-z]{5,}$/.test(text) || lexicon.words.has(text)) return digits
  const found = digits
  for (let cut = 2; cut <= text.length - 2; cut++) {
    const a = text.slice(0, cut)
    const b = text.slice(cut)
    if (lexicon.words.has(a) && lexicon.words.has(b)) found.push([a, b, 'split-word', SPLIT_WORD, cut])
  }
  return found
}

/** Digits that were two numbers: "64" said "sixty", "four"; "340" said "three", "forty". First, second, cost, digits in the first's range. */
function splits(text: string, dictated: boolean): [string, string, number, number][] {
  if (!/^[1-9]\d{1,2}$/.test(text)) return []
  const typed = dictated ? 0 : TYPED_SPLIT
  const value = Number(text)
  const last = value % 10
  const found: [string, string, number, number][] = []
  if (last > 0 && last < 10 && value > 20 && (text.length === 2 || text[1] !== '0'))
    found.push([String(value - last), String(last), (dictated ? 0.2 : 0.4) + typed, text.length - 1])
  if (value > 10 && value < 20) found.push(['10', String(last), 1.4 + typed, 1])
  if (text.length === 3 && text[1] !== '0') found.push([text[0]!, text.slice(1), dictated ? 1.3 : 3, 1])
  return found
}
