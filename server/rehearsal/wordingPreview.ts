import type { Notes, Wording } from '../notes/notes.ts'
import { wordedText } from '../notes/wordedText.ts'
import { estimateDuration } from '../speech/estimateDuration.ts'
import type { Seconds } from '../units.ts'
import { callWords } from './sayCalls.ts'
import { WORDINGS } from './voiceRun.ts'

/** What a wording says of a whole stage, and what it leaves out. Seconds are estimated from syllables, not measured on clips. */
export interface WordingPreview {
  readonly wording: Wording
  readonly words: number
  readonly seconds: Seconds
  /** Against the verbose wording. */
  readonly saved: Seconds
  /** Words of elements left out, how often each, and the seconds they would take. */
  /** The notes as a new text in this wording. */
  readonly text: string
  readonly dropped: readonly { readonly text: string; readonly times: number; readonly seconds: Seconds }[]
}

/** The three wordings side by side for notes, with the crew's pins ("never drop") kept. */
export function previewWordings(notes: Notes, pins: readonly string[], rate: number): WordingPreview[] {
  const previews = WORDINGS.map((wording) => {
    const calls = callWords(notes, wording, pins)
    const seconds = calls.reduce(
      (sum, call) => sum + (call.words.length > 0 ? estimateDuration(call.words, rate) : 0),
      0,
    )
    const by = new Map<string, { times: number; seconds: number }>()
    for (const call of calls) {
      for (const e of call.dropped) {
        const { text } = notes.calls[call.call]!.elements[e]!
        const known = by.get(text) ?? { times: 0, seconds: 0 }
        const took = estimateDuration(text.split(/\s+/), rate)
        by.set(text, { times: known.times + 1, seconds: known.seconds + took })
      }
    }
    const dropped = [...by].map(([text, one]) => ({ text, ...one })).sort((a, b) => b.seconds - a.seconds)
    return {
      wording,
      words: calls.reduce((sum, call) => sum + call.words.length, 0),
      seconds,
      dropped,
      text: wordedText(notes, wording, pins),
    }
  })
  const full = previews.find((one) => one.wording === 'verbose')!.seconds
  return previews.map((one) => ({ ...one, saved: full - one.seconds }))
}
