import { dictionary } from 'cmu-pronouncing-dictionary'
import type { Lexicon } from './lexicon.ts'
import { VOCABULARY } from './vocabulary.ts'

/** Sounds of one class are easily taken for one another: grouped by place and manner of speaking, from memory, not fitted to data. */
const CLASSES = ['p b', 't d', 'k g', 'f v th dh', 's z sh zh', 'ch jh', 'm n ng', 'l r', 'w y hh']
const classOf = new Map(CLASSES.flatMap((sounds, i) => sounds.split(' ').map((sound) => [sound.toUpperCase(), i])))
const isVowel = (sound: string) => /^[AEIOU]/.test(sound)
const LIGHT = new Set(['T', 'D', 'S', 'Z', 'R', 'HH'])

function swap(a: string, b: string): number {
  if (a === b) return 0
  if (isVowel(a) !== isVowel(b)) return 1.6
  if (isVowel(a)) return 0.45
  return classOf.get(a) === classOf.get(b) && classOf.has(a) ? 0.4 : 1
}

const gap = (sound: string) => (isVowel(sound) ? 0.8 : LIGHT.has(sound) ? 0.5 : 0.75)

/** Least cost of turning one row of sounds into another: same class 0.4, vowel for vowel 0.45, left out 0.5 to 0.8. */
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

/** Sounds of a word without stress marks, or null where the pronouncing dictionary lacks it. */
export function soundsOf(word: string): readonly string[] | null {
  const said = Object.hasOwn(dictionary, word) ? dictionary[word] : undefined
  return said === undefined ? null : said.replace(/\d/g, '').split(' ')
}

const rarities = new Map<string, number>()
for (const row of VOCABULARY) {
  for (const form of row.forms) {
    for (const word of form.toLowerCase().split(' ')) {
      rarities.set(word, Math.min(row.rarity, rarities.get(word) ?? 2))
    }
  }
}

const SOUNDS = [...rarities].flatMap(([word, rarity]) => {
  const sounds = /^[a-z]{3,}$/.test(word) ? soundsOf(word) : null
  return sounds === null ? [] : [{ word, rarity, sounds }]
})

export interface SoundAlike {
  readonly word: string
  readonly cost: number
}

/** Furthest that counts as near: by itself, and as a share of the longer word's sounds. */
const NEAR = 1.25
const NEAR_SHARE = 0.3

const remembered = new Map<string, readonly SoundAlike[]>()
const REMEMBERED = 5000

/** Vocabulary words that sound like `word`, with the cost 0.5 + 1.3 d + 0.4 rarity (dearer where the word itself is known). */
export function soundAlikes(word: string, lexicon: Lexicon): readonly SoundAlike[] {
  const known = lexicon.words.has(word)
  const key = `${known ? 1 : 0}${word}`
  const before = remembered.get(key)
  if (before) return before
  const heard = soundsOf(word)
  const found: SoundAlike[] = []
  for (const one of heard === null ? [] : SOUNDS) {
    if (one.word === word || !lexicon.words.has(one.word)) continue
    const d = soundDistance(heard!, one.sounds)
    if (d > NEAR || d > NEAR_SHARE * Math.max(heard!.length, one.sounds.length)) continue
    const itself = known ? ((rarities.get(word) ?? 1) === 0 ? 2 : 1.1) : 0
    found.push({ word: one.word, cost: 0.5 + 1.3 * d + 0.4 * one.rarity + itself })
  }
  if (remembered.size >= REMEMBERED) remembered.clear()
  remembered.set(key, found)
  return found
}
