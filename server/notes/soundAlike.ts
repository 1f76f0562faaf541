import { dictionary } from 'cmu-pronouncing-dictionary'
import { doubleMetaphone } from 'double-metaphone'
import type { Lexicon } from './lexicon.ts'
import { letterDistance } from './nearWord.ts'
import { OWN_SOUNDS } from './ownSounds.ts'
import { VOCABULARY } from './vocabulary.ts'

/** Sounds of one class are easily taken for one another: grouped by place and manner of speaking, from memory, not fitted to data. */
const CLASSES = ['p b', 't d', 'k g', 'f v th dh', 's z sh zh', 'ch jh', 'm n ng', 'l r', 'w y hh']
const classOf = new Map(CLASSES.flatMap((sounds, i) => sounds.split(' ').map((sound) => [sound.toUpperCase(), i])))
const isVowel = (sound: string) => /^[AEIOU]/.test(sound)
/** Pairs that differ in the voice alone. */
const PAIRS = ['P B', 'T D', 'K G', 'F V', 'TH DH', 'S Z', 'SH ZH', 'CH JH']
const VOICED = new Set(PAIRS.flatMap((pair) => [pair, pair.split(' ').reverse().join(' ')]))
const LIGHT = new Set(['T', 'D', 'S', 'Z', 'R', 'HH'])

function swap(a: string, b: string): number {
  if (a === b) return 0
  if (isVowel(a) !== isVowel(b)) return 1.6
  if (isVowel(a)) return vowelsNear(a, b) ? 0.35 : 0.6
  if (VOICED.has(`${a} ${b}`)) return 0.25
  return classOf.get(a) === classOf.get(b) && classOf.has(a) ? 0.4 : 1
}

/** Vowels by where the tongue is; neighbours are taken for one another more easily, and diphthongs for what they begin or end with. */
const VOWELS = [
  'IY IH',
  'IH EH EY',
  'EH AE',
  'AE AH',
  'AH ER UH',
  'AH IH',
  'AA AO AH',
  'AO OW',
  'UH UW',
  'OW UW',
  'AY AA',
  'AW AA',
  'OY AO',
  'EY AY',
]
const nearVowels = new Set(
  VOWELS.flatMap((group) => group.split(' ').flatMap((a, _, all) => all.map((b) => `${a} ${b}`))),
)
const vowelsNear = (a: string, b: string) => nearVowels.has(`${a} ${b}`)

const gap = (sound: string) => (isVowel(sound) ? 0.8 : LIGHT.has(sound) ? 0.5 : 0.75)

/** Least cost of turning one row of sounds into another: voice alone 0.25, same class 0.4, near vowels 0.35, other vowels 0.6, left out 0.5 to 0.8. */
export function soundDistance(a: readonly string[], b: readonly string[]): number {
  let above = [0]
  for (const sound of b) above.push(above.at(-1)! + gap(sound))
  for (const heard of a) {
    const row = [above[0]! + gap(heard)]
    for (let j = 1; j <= b.length; j++) {
      const meant = b[j - 1]!
      row.push(Math.min(above[j - 1]! + swap(heard, meant), above[j]! + gap(heard), row[j - 1]! + gap(meant)))
    }
    above = row
  }
  return above[b.length]!
}

/** Sounds of a word without stress marks, or null where the pronouncing dictionary and the table's own words lack it. */
export function soundsOf(word: string): readonly string[] | null {
  const said = Object.hasOwn(dictionary, word)
    ? dictionary[word]
    : Object.hasOwn(OWN_SOUNDS, word)
      ? OWN_SOUNDS[word]
      : undefined
  return said === undefined ? null : said.replace(/\d/g, '').split(' ')
}

const rarities = new Map<string, number>()
for (const row of VOCABULARY) {
  if (row.kind === 'filler') continue
  for (const form of row.forms) {
    for (const word of form.toLowerCase().split(' ')) rarities.set(word, Math.min(row.rarity, rarities.get(word) ?? 2))
  }
}
for (const word of 'ten twenty thirty forty fifty sixty seventy eighty ninety hundred'.split(' ')) rarities.set(word, 0)

interface Sounded {
  readonly word: string
  readonly rarity: number
  readonly sounds: readonly string[] | null
  readonly code: string
}

/** Vocabulary words with their sounds; two letters and more, a single one sounds like everything. */
const SOUNDED: readonly Sounded[] = [...rarities].flatMap(([word, rarity]) =>
  /^[a-z']{2,}$/.test(word) ? [{ word, rarity, sounds: soundsOf(word), code: doubleMetaphone(word)[0] }] : [],
)

export interface SoundAlike {
  readonly word: string
  readonly cost: number
}

/** Furthest that counts as near: by itself, and as a share of the longer word's sounds. */
const NEAR = 1.6
const NEAR_SHARE = 0.5
const NEAR_PAIR_SHARE = 0.25
/** The written word is itself in the table, and common. */
const KNOWN = 1.1
const KNOWN_COMMON = 2
const PAIR = 0.6
const PAIR_KNOWN = 1.4

const remembered = new Map<string, readonly SoundAlike[]>()
const REMEMBERED = 5000

function remember(key: string, found: readonly SoundAlike[]): readonly SoundAlike[] {
  if (remembered.size >= REMEMBERED) remembered.clear()
  remembered.set(key, found)
  return found
}

/** What it costs to doubt a word that is in the table. */
function doubting(word: string, lexicon: Lexicon): number {
  if (!lexicon.ids.has(word)) return 0
  return (rarities.get(word) ?? 1) === 0 ? KNOWN_COMMON : KNOWN
}

/**
 * Vocabulary words that sound like `word`: 0.5 + 1.3 d + 0.4 rarity by the pronouncing dictionary (dearer where the word itself is known), or, for a
 * word it lacks, 0.7 + 2/length + 1.2 × letters apart where the double-metaphone codes are within one edit.
 */
export function soundAlikes(word: string, lexicon: Lexicon): readonly SoundAlike[] {
  const itself = doubting(word, lexicon)
  const key = `${itself} ${word}`
  const before = remembered.get(key)
  if (before) return before
  const heard = soundsOf(word)
  const found: SoundAlike[] = []
  const code = heard === null ? doubleMetaphone(word)[0] : ''
  for (const one of SOUNDED) {
    if (one.word === word || !lexicon.ids.has(one.word)) continue
    const cost = heard === null ? byLetters(word, code, one) : bySounds(heard, one)
    if (cost !== null) found.push({ word: one.word, cost: cost + 0.4 * one.rarity + itself })
  }
  return remember(key, found)
}

function bySounds(heard: readonly string[], one: Sounded): number | null {
  if (one.sounds === null || Math.abs(heard.length - one.sounds.length) > 2) return null
  const d = soundDistance(heard, one.sounds)
  if (d > NEAR || d > NEAR_SHARE * Math.max(heard.length, one.sounds.length)) return null
  return 0.5 + 1.3 * d
}

function byLetters(word: string, code: string, one: Sounded): number | null {
  if (one.word.length < 3 || Math.abs(word.length - one.word.length) > 3 || letterDistance(code, one.code) > 1)
    return null
  const apart = letterDistance(word, one.word)
  if (apart > Math.max(1, one.word.length / 2)) return null
  return 0.7 + 2 / one.word.length + 1.2 * (apart / Math.max(1, one.word.length / 3))
}

/** Vocabulary words that two words together sound like; at least one of the two must be unknown. */
export function pairAlikes(a: string, b: string, lexicon: Lexicon): readonly SoundAlike[] {
  const knownA = doubting(a, lexicon) > 0
  const knownB = doubting(b, lexicon) > 0
  if (knownA && knownB) return []
  const key = `${a}  ${b}`
  const before = remembered.get(key)
  if (before) return before
  const first = soundsOf(a)
  const second = soundsOf(b)
  const found: SoundAlike[] = []
  if (first !== null && second !== null) {
    const heard = [...first, ...second]
    for (const one of SOUNDED) {
      if (one.sounds === null || one.sounds.length < 4 || !lexicon.ids.has(one.word)) continue
      if (Math.abs(heard.length - one.sounds.length) > 2) continue
      const d = soundDistance(heard, one.sounds)
      if (d > NEAR || d > NEAR_PAIR_SHARE * Math.max(heard.length, one.sounds.length)) continue
      const cost = 0.5 + 1.3 * d + 0.4 * one.rarity + PAIR + (knownA || knownB ? PAIR_KNOWN : 0)
      found.push({ word: one.word, cost })
    }
  }
  return remember(key, found)
}
