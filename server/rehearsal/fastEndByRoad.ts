import type { NoteSettings, Notes } from '../notes/notes.ts'
import { parseNotes } from '../notes/parseNotes.ts'
import type { Placement } from '../placement/placement.ts'

/** Log odds of the text below which the road is asked. */
const WEAK = 1
/** The road is one witness among others: so much and no more. */
const MOST = 10

/** Whether the text leaves open which end of its number scale is fast, and the crew has not said. */
export function fastEndIsOpen(notes: Notes, settings: NoteSettings): boolean {
  if (settings.system?.fastest !== undefined) return false
  const numbered = notes.calls.some((call) =>
    call.elements.some(({ meaning }) => meaning.is === 'corner' && /^[1-9](?!\d|.*°)/.test(meaning.grade?.name ?? '')),
  )
  return numbered && notes.reasons.some((reason) => reason.about === 'fastest' && reason.odds < WEAK)
}

/**
 * What a measured road says of it: ln of how much likelier the notes lie on this road with the highest number fastest than with 1 fastest, from the
 * evidence of the two placements (docs/method/placement.md), between −10 and 10; and the placement of each.
 */
export function fastEndByRoad(
  text: string,
  settings: NoteSettings,
  place: (notes: Notes) => Placement,
): { odds: number; placed: Readonly<Record<'high' | 'low', Placement>> } {
  const placed = (fastest: 'high' | 'low') =>
    place(parseNotes(text, { ...settings, system: { ...settings.system, fastest } }).notes)
  const [high, low] = [placed('high'), placed('low')]
  const odds = high.evidence - low.evidence
  return { odds: Number.isFinite(odds) ? Math.max(-MOST, Math.min(MOST, odds)) : 0, placed: { high, low } }
}
