import type { Notes } from '../notes/notes.ts'
import type { ItemKind } from './drill.ts'

export interface Item {
  /** `${call id}:${kind}`: a call's id survives edits, so its items do. */
  readonly id: string
  readonly kind: ItemKind
  /** Index of the call it is about; for a section its first. */
  readonly call: number
  /** Calls [call, until) it covers. */
  readonly until: number
}

/** Calls of a section asked in order. */
export const SECTION = 6

export const itemId = (call: string, kind: ItemKind): string => `${call}:${kind}`

/** What there is to learn of a stage; `ids` of its calls in order, `moments` their indices. */
export function itemsOf(notes: Pick<Notes, 'calls'>, ids: readonly string[], moments: readonly number[]): Item[] {
  if (ids.length !== notes.calls.length)
    throw new RangeError(`itemsOf: ${ids.length} ids for ${notes.calls.length} calls`)
  const items: Item[] = []
  const add = (kind: ItemKind, call: number, until = call + 1) =>
    items.push({ id: itemId(ids[call]!, kind), kind, call, until })
  const n = notes.calls.length
  for (let call = 0; call < n; call++) {
    add('say', call)
    if (call + 1 < n) add('follows', call)
    if (notes.calls[call]!.elements.some((one) => one.meaning.is === 'change')) add('tightens', call)
    if (call % SECTION === 0 && n - call > 1) add('order', call, Math.min(n, call + SECTION))
  }
  for (const call of moments) add('moment', call)
  return items
}
