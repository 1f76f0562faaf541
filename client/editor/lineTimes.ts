import type { PlanDocument } from '../../server/api/wire.ts'
import type { ParsedNotes } from '../../server/notes/notes.ts'
import { clockInWords } from '../look/words.ts'
import type { LineTimes } from './notesEditor.ts'

/** Where a call stands in the text, or null. */
export function rangeOf(parsed: ParsedNotes | null, call: number | null): { from: number; to: number } | null {
  const found = call === null ? undefined : parsed?.notes.calls[call]
  return found ? { from: found.from, to: found.to } : null
}

/** Words of a call on a map: without the distance that ends it. */
export const shortText = (text: string): string =>
  text.replace(/\s+/g, ' ').replace(/[,\s]*(\d+|->|→|into|and|&|-)\s*$/i, '')

/** By line: when its first call is said, and what is over. */
export function lineTimes(plan: PlanDocument): Map<number, LineTimes> {
  const by = new Map<number, LineTimes>()
  for (const call of plan.calls) {
    const known = by.get(call.line)
    const over = call.late > 0.2 ? `${call.late.toFixed(1)} s over` : ''
    const said = clockInWords(call.start)
    const all = `${known ? `${known.all}\n` : ''}${said}${over && `, ${over}`}: ${call.say}`
    by.set(call.line, { said: known?.said ?? said, over: over || (known?.over ?? ''), all })
  }
  return by
}
