import type { Notes } from '../notes/notes.ts'
import type { Placement } from '../placement/placement.ts'
import type { Route } from '../route/route.ts'
import type { Metres } from '../units.ts'

/** Road each side of a called jump where heights show no crest of their own, from memory. */
const JUMP_REACH: Metres = 15

/** Stretches on which the car may leave the ground because the notes call a jump there: roadCells leaves vertical curvature out on them. */
export function calledJumps(notes: Notes, placement: Placement, route: Route): { from: Metres; to: Metres }[] {
  return notes.calls.flatMap((call) => {
    const placed = placement.calls[call.index]
    const jumps = call.elements.some((one) => one.meaning.is === 'crest' && one.meaning.sense === 'jump')
    const at = placed?.crest ?? null
    if (!jumps || at === null) return []
    const crest = route.features.find((one) => one.kind === 'crest' && one.from <= at && at < one.to)
    return [crest ? { from: crest.from, to: crest.to } : { from: at - JUMP_REACH, to: at + JUMP_REACH }]
  })
}
