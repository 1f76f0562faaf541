import type { Metres, MetresPerSecond } from '../units.ts'
import { type Audited, finding, quoted } from './audit.ts'
import type { Finding } from './placement.ts'

/** How fast the stage is driven at its target, for cautions: speed at stations 0, step, 2·step … */
export interface DrivenSpeed {
  readonly step: Metres
  readonly speed: ArrayLike<MetresPerSecond>
}

/** How far before a corner the speed it is slowed from is looked for. */
const APPROACH: Metres = 200

/** Corners for which speed drops by more than the crew's own share, with no word of warning in their call or on the way to it. */
export function absentCautions(q: Audited, driven: DrivenSpeed, share: number): Finding[] {
  if (!(share > 0 && share < 1)) throw new RangeError(`absentCautions: share must be between 0 and 1, got ${share}`)
  return q.placement.calls.flatMap((call, i) => {
    if (q.views[i]!.kind !== 'corner' || hasWarning(q, i)) return []
    const before = q.placement.calls[i - 1]
    const approach = Math.max(0, call.from - APPROACH, before ? before.from : 0)
    const fast = extreme(driven, approach, call.from, Math.max)
    const slow = extreme(driven, call.from, call.to, Math.min)
    const drop = 1 - slow / fast
    if (!(drop > share)) return []
    return [
      finding(
        'caution-absent',
        'hint',
        call.from,
        i,
        `speed falls by ${Math.round(100 * drop)} %, from ${kmh(fast)} to ${kmh(slow)} km/h, for ${quoted(q, i)}, with no caution.`,
        { drop, fast, slow },
      ),
    ]
  })
}

/** In the corner's own call, or in one before it that names no corner of its own. */
function hasWarning(q: Audited, call: number): boolean {
  const warns = (i: number) =>
    q.notes.calls[i]!.elements.some((element) => element.kind === 'warning' || element.kind === 'motion')
  return warns(call) || (call > 0 && q.views[call - 1]!.kind !== 'corner' && warns(call - 1))
}

function extreme(driven: DrivenSpeed, from: Metres, to: Metres, of: (a: number, b: number) => number): number {
  const first = Math.max(0, Math.floor(from / driven.step))
  const last = Math.min(driven.speed.length - 1, Math.ceil(to / driven.step))
  let value = driven.speed[Math.min(first, driven.speed.length - 1)]!
  for (let i = first; i <= last; i++) value = of(value, driven.speed[i]!)
  return value
}

const kmh = (speed: MetresPerSecond): string => (speed * 3.6).toFixed(0)
