import type { HeardWire } from '../../../server/api/wireTakes.ts'
import type { HeardTake } from '../../microphone/hearTake.ts'

/** Confidence as it is sent: JSON has no infinity. */
const MOST = 999

/** What was heard in a take that begins at stage time `from`; `indexOf` a position of the listener's script is the call's index in the notes. */
export const heardWire = (
  heard: HeardTake,
  from: number,
  indexOf: (position: number) => number,
): Pick<HeardWire, 'calls' | 'overFloor' | 'until' | 'listen'> => ({
  calls: heard.calls.map((one) => ({
    index: indexOf(one.call),
    from: one.from + from,
    to: one.to + from,
    kind: one.kind,
    confidence: Math.max(-MOST, Math.min(MOST, one.confidence)),
  })),
  overFloor: heard.overFloor,
  until: heard.seconds + from,
  listen: heard.listen.map(({ call, ...rest }) => ({ ...rest, index: indexOf(call) })),
})
