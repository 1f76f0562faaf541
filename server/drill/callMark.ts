import type { Call, ElementKind, Notes } from '../notes/notes.ts'

/** What a call is recognised by when its notes are edited. */
export interface CallMark {
  readonly text: string
  /** What the driver is told: values in order, without fillers, links and distances. Two calls with one key mean the same. */
  readonly key: string
  /** Keys of the calls before and after, '' at the ends. */
  readonly before: string
  readonly after: string
}

/** Distances and links say how far, not what: a call stays the same call when they change. Fillers say nothing. */
const NOT_WHAT: ReadonlySet<ElementKind> = new Set(['link', 'distance', 'filler', 'repeat'])

/** Key of a call; the whole text in small letters where nothing in it is understood, so that no call is without one. */
export function keyOf(call: Pick<Call, 'elements' | 'text'>): string {
  const values = call.elements.filter((one) => !NOT_WHAT.has(one.kind)).map((one) => one.value.toLowerCase())
  return values.length > 0 ? values.join(' | ') : call.text.toLowerCase().replace(/\s+/g, ' ').trim()
}

export function callMarks(notes: Pick<Notes, 'calls'>): CallMark[] {
  const keys = notes.calls.map(keyOf)
  return notes.calls.map((call, i) => ({
    text: call.text,
    key: keys[i]!,
    before: keys[i - 1] ?? '',
    after: keys[i + 1] ?? '',
  }))
}
