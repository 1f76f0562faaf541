import type { Metres, MetresPerSecond } from '../units.ts'
import { type Audited, cornersOf, finding, isSure, quoted, TIGHT } from './audit.ts'
import type { Finding, PlacedCall } from './placement.ts'

/** A distance is wrong by more than this, and more than this share of the road (placement.md §4; corner ends are known to some metres only). */
const LEAST_OFF: Metres = 22
const SHARE_OFF = 0.2
/** The wider a corner, the less sure its end: share of the radius. */
const WIDE_END = 0.05
/** A rest that bends less than this is straight. */
const LEAST_BEND = 1 / 600
/** Ramps make a corner longer than its arc: share of arc in the whole [derived: 0.3 of the arc at each end, half curved]. */
const RAMPED = 0.77
/** A crest hides a corner that begins within this of it. */
const HIDES: Metres = 50
/** The crest's own place is known to about this. */
const CREST_NEAR: Metres = 20

export function wrongDistances(q: Audited): Finding[] {
  const { calls, odometer } = q.placement
  return calls.flatMap((call, i) => {
    const next = calls[i + 1]
    const said = q.views[i]!.distance
    if (!next || said <= 0 || !isSure(call) || !isSure(next)) return []
    if ((call.mate ?? 0) === 1 || (next.mate ?? 0) === -1) return []
    const from = q.views[i]!.change ? bendEnd(q, call) : call.to
    const gap = next.from - from
    const longest = gap + flattenedBy(q, call) + flattenedBy(q, next)
    const scaled = said / odometer
    const off = scaled < gap ? gap - scaled : Math.max(0, scaled - longest)
    const unsure = WIDE_END * (call.parts.at(-1)!.radius + next.parts[0]!.radius)
    if (off <= Math.max(LEAST_OFF + unsure, SHARE_OFF * gap)) return []
    if (uncalledBetween(q, call.to, next.from)) return []
    return [
      finding(
        'distance-wrong',
        'hint',
        call.to,
        i,
        `after ${quoted(q, i)} ${said.toFixed(0)} m is said, the road has ${Math.max(0, gap).toFixed(0)} m${
          Math.abs(odometer - 1) > 0.02 ? ` (the crew's metres are ${(1 / odometer).toFixed(2)} of the road's)` : ''
        }.`,
        { said, road: gap, odometer },
      ),
    ]
  })
}

/** A corner that tightens or opens ends where the road no longer bends its way, even if its rest bends too little to be a feature. */
function bendEnd(q: Audited, call: PlacedCall): Metres {
  const { curvature, step } = q.route
  let i = Math.min(curvature.length - 1, Math.round(call.to / step))
  const sign = Math.sign(curvature[Math.max(0, i - 4)]!)
  while (i < curvature.length - 1 && curvature[i]! * sign > LEAST_BEND) i++
  return Math.max(call.to, i * step)
}

/** A short tight bend is shown longer than it is, at each end by half of what its radius is too wide for its turning. */
function flattenedBy(q: Audited, call: PlacedCall): Metres {
  const view = q.views[call.index]!
  const row = q.placement.gradeScale.find((one) => one.grade === view.grade?.name)
  if (!row || view.kind !== 'corner' || !q.placement.blur) return 0
  const angle = cornersOf(q, call).reduce((sum, one) => sum + one.angle, 0)
  if (angle === 0) return 0
  return Math.max(0, (call.to - call.from - (row.radius * angle) / RAMPED) / 2)
}

/** A sharp corner without a call on the way: then the missing call is the finding, not the distance that led to it. */
function uncalledBetween(q: Audited, from: Metres, to: Metres): boolean {
  return q.route.features.some(
    (one, f) =>
      one.kind === 'corner' && one.radius < TIGHT && !q.callOn.has(f) && one.from >= from - 15 && one.to <= to + 15,
  )
}

/** Crests that the heights show, with a tight corner under or close behind them, of which the notes do not warn. */
export function hiddenCorners(q: Audited): Finding[] {
  const { calls } = q.placement
  return q.route.features.flatMap((crest) => {
    if (crest.kind !== 'crest' || crest.drawn) return []
    const behind = calls.find((call) => {
      const corner = cornersOf(q, call)[0]
      return (
        corner !== undefined &&
        corner.radius < TIGHT &&
        isSure(call) &&
        call.to > crest.at + CREST_NEAR / 2 &&
        call.from < crest.at + HIDES &&
        call.from > crest.at - HIDES
      )
    })
    if (!behind || warned(q, behind, crest.at)) return []
    const gap = behind.from - crest.at
    return [
      finding(
        'crest-hides-corner',
        'warning',
        crest.at,
        behind.index,
        `a crest ${gap > 1 ? `${gap.toFixed(0)} m before` : 'in'} ${quoted(q, behind.index)}, and no call joins the two.`,
        { gap, crestRadius: crest.radius, radius: behind.parts[0]!.radius },
      ),
    ]
  })
}

function warned(q: Audited, behind: PlacedCall, at: Metres): boolean {
  if (q.views[behind.index]!.crest) return true
  return [behind.index - 1, behind.index - 2, behind.index + 1].some((c) => {
    const call = q.placement.calls[c]
    if (!call || !q.views[c]!.crest) return false
    const said = call.crest ?? call.from
    return Math.abs(said - at) < HIDES || (c < behind.index && call.to > at - HIDES)
  })
}

/** How fast the stage is driven at its target, for cautions: speed at stations 0, step, 2·step … */
export interface DrivenSpeed {
  readonly step: Metres
  readonly speed: ArrayLike<MetresPerSecond>
}

/** How far before a corner the speed it is slowed from is looked for. */
const APPROACH: Metres = 200

/** Corners for which speed drops by more than the crew's own share, with no word of warning in their call or the one before. */
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

const hasWarning = (q: Audited, call: number): boolean =>
  q.notes.calls[call]!.elements.some((element) => element.kind === 'warning' || element.kind === 'motion')

function extreme(driven: DrivenSpeed, from: Metres, to: Metres, of: (a: number, b: number) => number): number {
  const first = Math.max(0, Math.floor(from / driven.step))
  const last = Math.min(driven.speed.length - 1, Math.ceil(to / driven.step))
  let value = driven.speed[Math.min(first, driven.speed.length - 1)]!
  for (let i = first; i <= last; i++) value = of(value, driven.speed[i]!)
  return value
}

const kmh = (speed: MetresPerSecond): string => (speed * 3.6).toFixed(0)

const REASONS = {
  crosses: 'it crosses an anchor set later',
  'call-gone': 'no call reads so any more',
  'off-road': 'the road does not reach so far',
} as const

/** Hand placements that are not held, each with why. Nothing a crew did is dropped without a word. */
export function unheldAnchors(q: Audited): Finding[] {
  return (q.placement.unheld ?? []).map(({ anchor, reason }) =>
    finding(
      'anchor-not-held',
      'warning',
      Math.min(anchor.station, q.route.length),
      q.notes.calls[anchor.call]?.text === anchor.text ? anchor.call : null,
      `"${anchor.text.replace(/\s+/g, ' ')}" was put here by hand, but ${REASONS[reason]}; it is placed by the road instead.`,
      { station: anchor.station },
    ),
  )
}
