import type { Notes, Wording } from '../notes/notes.ts'
import { wordCalls } from '../notes/wordings.ts'
import { estimateDuration } from '../speech/estimateDuration.ts'
import { phrase } from '../speech/phrase.ts'
import type { SpeechRequest, SpokenClip } from '../speech/speechEngine.ts'
import type { Seconds } from '../units.ts'
import type { SaidCall } from './stage.ts'

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
export function callWords(notes: Notes, wording: Wording, pins: readonly string[]): CallWords[] {
  const numbers = wording === 'verbose' ? 'full' : 'short'
  return wordCalls(notes, wording, { pins: new Set(pins) }).map((worded) => {
    const words: string[] = []
    const wordsThrough: (number | null)[] = notes.calls[worded.call]!.elements.map(() => null)
    for (const { element, say } of worded.elements) {
      words.push(...phrase(say, { numbers }))
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
