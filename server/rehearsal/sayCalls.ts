import type { Notes, Wording } from '../notes/notes.ts'
import { wordCalls } from '../notes/wordings.ts'
import { countSyllables, estimateDuration } from '../speech/estimateDuration.ts'
import { phrase } from '../speech/phrase.ts'
import { pronounce, type SayAs } from '../speech/pronounce.ts'
import type { SpeechRequest, SpokenClip } from '../speech/speechEngine.ts'
import type { Seconds } from '../units.ts'
import type { LeftOut, ReadingPace, SaidCall } from './stage.ts'

/** A call in one wording as words, with how many words each said element takes. */
export interface CallWords {
  readonly call: number
  readonly wording: Wording
  readonly words: readonly string[]
  /** Parallel to call.elements: words up to and including this element; null when it is left out. */
  readonly wordsThrough: readonly (number | null)[]
  readonly dropped: readonly number[]
}

/** Words of every call in a wording. Verbose says numbers in full ("one hundred and thirty"), the others as crews do ("one thirty"). */
export function callWords(
  notes: Notes,
  wording: Wording,
  pins: readonly string[],
  leftOut: readonly LeftOut[] = [],
  sayAs: readonly SayAs[] = [],
): CallWords[] {
  const numbers = wording === 'verbose' ? 'full' : 'short'
  return wordCalls(notes, wording, { pins: new Set(pins), drops: leftOutHere(notes, leftOut) }).map((worded) => {
    const words: string[] = []
    const wordsThrough: (number | null)[] = notes.calls[worded.call]!.elements.map(() => null)
    for (const { element, say } of worded.elements) {
      words.push(...phrase(pronounce(say, sayAs), { numbers }))
      wordsThrough[element] = words.length
    }
    return { call: worded.call, wording, words, wordsThrough, dropped: worded.dropped }
  })
}

export const speechRequest = (
  call: CallWords,
  voice: { voice: string; rate: number; pitch: number },
): SpeechRequest => ({
  words: call.words,
  ...voice,
})

/** A call with its length measured on the very clip that will be heard. */
export function saidWith(call: CallWords, clip: SpokenClip, hash: string): SaidCall {
  return said(
    call,
    clip.samples.length / clip.sampleRate,
    (words) => (words === 0 ? 0 : clip.wordEnds[words - 1]!),
    hash,
  )
}

/** A call with its length estimated, for planning at once while the voice is still being prepared. */
export function saidEstimated(call: CallWords, rate: number): SaidCall {
  const through = (words: number) => (words === 0 ? 0 : estimateDuration(call.words.slice(0, words), rate))
  return said(call, through(call.words.length), through, null)
}

/** A call with its length at a person's own pace: syllables ÷ syllables a second. There is no clip: a person reads it. */
export function saidPaced(call: CallWords, pace: ReadingPace): SaidCall {
  const through = (words: number) => countSyllables(call.words.slice(0, words)) / pace.syllablesPerSecond
  return said(call, through(call.words.length), through, null)
}

/** Words left out of single calls, found again by their text after the notes were edited: the nearest call that reads the same. */
function leftOutHere(notes: Notes, leftOut: readonly LeftOut[]): { call: number; element: number }[] {
  return leftOut.flatMap(({ call, text, element }) => {
    let found = -1
    for (const { index, text: own } of notes.calls)
      if (own === text && (found < 0 || Math.abs(index - call) < Math.abs(found - call))) found = index
    return found < 0 || notes.calls[found]!.elements[element] === undefined ? [] : [{ call: found, element }]
  })
}

function said(call: CallWords, duration: Seconds, through: (words: number) => Seconds, clip: string | null): SaidCall {
  return {
    call: call.call,
    wording: call.wording,
    say: call.words.join(' '),
    words: call.words.length,
    dropped: call.dropped,
    duration,
    elementEnds: call.wordsThrough.map((words) => (words === null ? null : through(words))),
    clip,
  }
}
