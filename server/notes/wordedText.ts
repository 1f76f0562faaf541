import type { Notes, Wording } from './notes.ts'
import { wordCalls } from './wordings.ts'

/** Notes as a new text in a wording: a call a line, numbers in digits, nothing of the crew's own text changed. Calls that say nothing in it have no line. */
export function wordedText(notes: Notes, wording: Wording, pins: readonly string[] = []): string {
  return wordCalls(notes, wording, { pins: new Set(pins) })
    .filter((call) => call.elements.length > 0)
    .map((call) => `${call.elements.map(({ say }) => say).join(' ')}\n`)
    .join('')
}
