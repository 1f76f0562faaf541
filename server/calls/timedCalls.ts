import type { Call, NoteElement } from '../notes/notes.ts'
import type { PlacedCall } from '../placement/placement.ts'
import type { Metres } from '../units.ts'
import type { ElementDuty, TimedCall } from './callWindows.ts'

/** Road each side of a crest in which its load limits the speed, from memory: heights from a log do not show a crest more sharply. */
const CREST_REACH: Metres = 15

/** A call and its place, as windows need them: each element's timing role becomes what it must be out before (windows.md §3). */
export function timedCall(call: Call, placed: PlacedCall): TimedCall {
  const from = placed.crest === null ? placed.from : Math.min(placed.from, placed.crest)
  return {
    from,
    to: Math.max(placed.to, from),
    parts: placed.parts.map(({ from, to }, p) =>
      p === 0 && placed.crest !== null
        ? { from, to, reach: { from: placed.crest - CREST_REACH, to: placed.crest + CREST_REACH } }
        : { from, to },
    ),
    duties: call.elements.map((element, e) => dutyOf(element, e, placed)),
  }
}

function dutyOf(element: NoteElement, e: number, placed: PlacedCall): ElementDuty {
  switch (element.timing) {
    case 'none':
      return { by: 'none' }
    case 'straight':
      return { by: 'exit' }
    case 'brake':
      return { by: 'call' }
    case 'turn-in':
      return { by: 'turn-in' }
    case 'part':
      return partDuty(element, e, placed)
    case 'feature':
      return element.meaning.is === 'crest' && placed.crest !== null && placed.crest > placed.from
        ? { by: 'crest', station: placed.crest }
        : { by: 'call' }
    default:
      return element.timing satisfies never
  }
}

/** A change acts at the part that was placed for it, else at the last part; without a second part it is a turn-in matter. */
function partDuty(element: NoteElement, e: number, placed: PlacedCall): ElementDuty {
  const own = placed.parts.findIndex((part, p) => p > 0 && part.element === e)
  const part = own >= 0 ? own : placed.parts.length - 1
  if (part <= 0) return { by: 'turn-in' }
  const opens = element.meaning.is === 'change' && element.meaning.sense === 'opens'
  return opens ? { by: 'opens', part } : { by: 'tightens', part }
}
