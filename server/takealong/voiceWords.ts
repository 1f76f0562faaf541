import type { Rehearsal } from '../rehearsal/stage.ts'

/** A word or short phrase a stage needs of a voice. */
export interface VoiceWord {
  readonly words: string
  /** How often the stage says it. */
  readonly uses: number
  /** Share of all words said that it is. */
  readonly adds: number
}

/** Phrases of this many words are worth a recording of their own. */
const LONGEST_PHRASE = 3
const LEAST_USES = 3
const MOST_PHRASES = 40

/**
 * The words a run says, most used first (then by alphabet); `adds` sums to 1 over them. And phrases of two or three words within one call that it says at
 * least three times: recorded as one they sound smoother than their words joined. Each phrase's `adds` is the share it covers by itself.
 */
export function voiceWords(rehearsal: Rehearsal): { words: VoiceWord[]; phrases: VoiceWord[] } {
  const words = new Map<string, number>()
  const phrases = new Map<string, number>()
  let all = 0
  for (const { say } of rehearsal.said) {
    const said = say.split(' ').filter((word) => word !== '')
    all += said.length
    said.forEach((word, i) => {
      words.set(word, (words.get(word) ?? 0) + 1)
      for (let n = 2; n <= LONGEST_PHRASE && i + n <= said.length; n++) {
        const phrase = said.slice(i, i + n).join(' ')
        phrases.set(phrase, (phrases.get(phrase) ?? 0) + 1)
      }
    })
  }
  const row = ([text, uses]: [string, number]): VoiceWord => ({
    words: text,
    uses,
    adds: (uses * text.split(' ').length) / Math.max(1, all),
  })
  const order = (a: VoiceWord, b: VoiceWord) => b.uses - a.uses || a.words.localeCompare(b.words)
  return {
    words: [...words].map(row).sort(order),
    phrases: [...phrases]
      .filter(([, uses]) => uses >= LEAST_USES)
      .map(row)
      .sort((a, b) => b.adds - a.adds || order(a, b))
      .slice(0, MOST_PHRASES),
  }
}
