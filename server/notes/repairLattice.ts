import type { Lattice, Repair, WordArc } from './lattice.ts'
import type { Lexicon } from './lexicon.ts'
import { isNumberWord } from './numberWords.ts'
import { soundAlikes } from './soundAlike.ts'
import type { Token } from './tokens.ts'

/** What recognisers write for another word of the same sound: word, meant, cost. Chosen by hand between 0.2 and 1.0 (weak ones 1.6), not fitted to data. */
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
  ['tree', 'three', 1.6],
  ['fife', 'five', 0.4],
  ['too', 'to', 0.6],
  ['two', 'to', 1.6],
]
const meantBy = new Map<string, { word: string; cost: number }[]>()
for (const [word, meant, cost] of HOMOPHONES) meantBy.set(word, [...(meantBy.get(word) ?? []), { word: meant, cost }])

/** Two words that were one. */
const HEARD_AS_TWO = new Map([['of a', { word: 'over', cost: 0.4 }]])
const JOINED = 0.3
const TYPED_SPLIT = 0.8
const TEEN = 1.8
const TEENS: Readonly<Record<string, string>> = {
  thirteen: 'thirty',
  fourteen: 'forty',
  fifteen: 'fifty',
  sixteen: 'sixty',
  seventeen: 'seventy',
  eighteen: 'eighty',
  nineteen: 'ninety',
}

export const isHomophone = (word: string): boolean => meantBy.has(word)

/** The text as it stands and as it may have been meant: every guess is one more arc with its cost. Linear in the tokens. */
export function repairLattice(tokens: readonly Token[], lexicon: Lexicon, dictated: boolean): Lattice {
  const arcs: WordArc[][] = tokens.map((token, i) => [
    { text: token.text, from: token.from, to: token.to, next: i + 1, cost: 0, repair: null },
  ])
  arcs.push([])
  const order: number[] = []
  tokens.forEach((token, i) => {
    order.push(i)
    for (const { word, code, cost } of wordsMeant(token.text, lexicon)) {
      arcs[i]!.push(repaired(code, token.from, token.to, word, cost, i + 1))
    }
    const following = tokens[i + 1]
    if (following && following.before === 0 && !following.glued) {
      const whole = oneWord(token.text, following.text, lexicon)
      if (whole) arcs[i]!.push(repaired('join', token.from, following.to, whole.word, whole.cost, i + 2))
    }
    for (const [first, second, cost, cut] of splits(token.text, dictated)) {
      const inside = arcs.length
      const at = token.from + cut
      const insert = `${first}, ${second}`
      const repair: Repair = { code: 'split-number', from: token.from, to: token.to, insert, cost }
      arcs[i]!.push({ text: first, from: token.from, to: at, next: inside, cost, repair })
      arcs.push([{ text: second, from: at, to: token.to, next: i + 1, cost: 0, repair }])
      order.push(inside)
    }
  })
  order.push(tokens.length)
  return { tokens, arcs, order }
}

function repaired(code: Repair['code'], from: number, to: number, insert: string, cost: number, next: number): WordArc {
  return { text: insert, from, to, next, cost, repair: { code, from, to, insert, cost } }
}

function wordsMeant(text: string, lexicon: Lexicon): { word: string; code: Repair['code']; cost: number }[] {
  if (/^1[3-9]$/.test(text)) return [{ word: `${text[1]}0`, code: 'teen', cost: TEEN }]
  if (!/^[a-z']+$/.test(text)) return []
  const teen = TEENS[text]
  if (teen) return [{ word: teen, code: 'teen', cost: TEEN }]
  if (isNumberWord(text)) return (meantBy.get(text) ?? []).map((one) => ({ ...one, code: 'homophone' }))
  const listed = (meantBy.get(text) ?? []).map((one) => ({ ...one, code: 'homophone' as const }))
  const dearer = listed.length > 0 ? 1.2 : 0
  const near = text.length < 3 ? [] : soundAlikes(text, lexicon)
  return [...listed, ...near.map((one) => ({ word: one.word, code: 'sound' as const, cost: one.cost + dearer }))]
}

function oneWord(a: string, b: string, lexicon: Lexicon): { word: string; cost: number } | null {
  const heard = HEARD_AS_TWO.get(`${a} ${b}`)
  if (heard) return heard
  if (!/^[a-z]+$/.test(a) || !/^[a-z]+$/.test(b) || a.length + b.length < 4) return null
  return lexicon.words.has(a + b) ? { word: a + b, cost: JOINED } : null
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
  if (text.length === 3 && text[1] !== '0') found.push([text[0]!, text.slice(1), 1.9 + typed, 1])
  return found
}
