import { lognormal, normal } from '../numeric/normal.ts'
import type { Metres } from '../units.ts'
import { type Audited, cornersOf, finding, isSure, quoted, scaleOf, TIGHT } from './audit.ts'
import type { Scale } from './likelihood.ts'
import type { Finding, PlacedCall } from './placement.ts'
import { asOne } from './places.ts'
import { endExcess } from './shownEnds.ts'

/** A distance is wrong by more than this, and more than this share of the road (docs/method/placement.md). */
const LEAST_OFF: Metres = 20
const SHARE_OFF = 0.2
/** σ of each end of a corner, and what wide corners add, as a share of their radius [measured]. */
const END: Metres = 3.5
const WIDE_END = 0.02
/** σ of what a crew measures, as a share, beside its odometer (docs/method/placement.md). */
const MEASURED = 0.05
/** What distances are rounded to. */
const ROUNDED: Metres = 10
/** How often a distance is wrong, and what wrong ones are spread over: lognormal(75 m, 0.8) (docs/method/placement.md). */
const WRONG = 0.04
const USUAL = { median: 75, sigma: 0.8 }
const LIKELY = 0.25
/** Wider than this, the curvature of a logged corner wavers by itself. */
const WAVERS: Metres = 85
/** A corner so near another's end may overlap it. */
const BESIDE: Metres = 15
/** A rest that bends less than this is straight. */
const LEAST_BEND = 1 / 600

/** Distances that are more likely wrong than said of the road there, allowing for what a log makes of corners' ends. */
export function wrongDistances(q: Audited): Finding[] {
  const { calls, odometer } = q.placement
  const scale = scaleOf(q.placement)
  return calls.flatMap((call, i) => {
    const next = calls[i + 1]
    const said = q.views[i]!.distance
    if (!next || said <= 0 || !isSure(call) || !isSure(next)) return []
    if ((call.mate ?? 0) === 1 || (next.mate ?? 0) === -1) return []
    const ends = scale.ends ?? 0
    const from = exitOf(q, call)
    const excess = excessOf(q, call, scale)
    const told = said / odometer
    // It may lead to a corner whose call is missing as well as to the next call's: wrong is what leads to none of them.
    const targets = [
      ...uncalledBetween(q, from.least, next.from),
      { ...entryOf(q, next), excess: excessOf(q, next, scale) },
    ]
    const fits = targets.map((to) => {
      const longest = Math.max(0, to.most - from.least) + excess + to.excess + ends
      const shortest = Math.max(0, to.least - from.most) + excess + to.excess + ends
      const gap = Math.max(shortest, Math.min(told, longest))
      const sigma = Math.hypot(endOf(from), endOf(to), ROUNDED / Math.sqrt(12), MEASURED * gap)
      return { gap, density: normal(told, gap, sigma) }
    })
    const best = fits.reduce((a, b) => (b.density > a.density ? b : a))
    const { gap } = best
    if (Math.abs(told - gap) <= Math.max(LEAST_OFF, SHARE_OFF * gap)) return []
    const right = (1 - WRONG) * best.density
    const wrong = WRONG * lognormal(told, USUAL.median, USUAL.sigma)
    const likely = wrong / (wrong + right)
    if (!(likely > LIKELY)) return []
    return [
      finding(
        'distance-wrong',
        'hint',
        from.least,
        i,
        `after ${quoted(q, i)} ${said.toFixed(0)} m is said, the road has ${Math.max(0, gap).toFixed(0)} m${
          Math.abs(odometer - 1) > 0.02 ? ` (the crew's metres are ${(1 / odometer).toFixed(2)} of the road's)` : ''
        }.`,
        { said, road: gap, odometer, likely },
      ),
    ]
  })
}

const endOf = (end: End): Metres => (end.known ? 0 : END + WIDE_END * end.radius)

function excessOf(q: Audited, call: PlacedCall, scale: Scale): Metres {
  const corners = cornersOf(q, call)
  if (corners.length === 0) return 0
  const { radius, angle } = asOne(corners)
  return endExcess(q.views[call.index]!, radius, angle, scale)
}

/** An end of a corner, where it lies at least and at most. */
interface End {
  readonly least: Metres
  readonly most: Metres
  readonly radius: Metres
  /** Start and finish are where they are. */
  readonly known?: boolean
}

/** Where a call's corner ends: with its feature, if no other call is on that; later at most, where the road goes on bending its way. */
function exitOf(q: Audited, call: PlacedCall): End {
  const corner = cornersOf(q, call).at(-1)
  const radius = call.parts.at(-1)!.radius
  if (!corner) return { least: call.to, most: call.to, radius, known: isEnd(q, call) }
  const alone = !q.placement.calls[call.index + 1]?.features.includes(call.features.at(-1)!)
  const end = alone ? Math.max(call.to, corner.to) : call.to
  if (!wavers(q, call, radius)) return { least: end, most: end, radius }
  return { least: end, most: bendEnd(q, corner.side, end, 1), radius }
}

/** Where it begins, likewise. */
function entryOf(q: Audited, call: PlacedCall): End {
  const corner = cornersOf(q, call)[0]
  const radius = call.parts[0]!.radius
  if (!corner) return { least: call.from, most: call.from, radius, known: isEnd(q, call) }
  const alone = !q.placement.calls[call.index - 1]?.features.includes(call.features[0]!)
  const start = alone ? Math.min(call.from, corner.from) : call.from
  if (!wavers(q, call, radius)) return { least: start, most: start, radius }
  return { least: bendEnd(q, corner.side, start, -1), most: start, radius }
}

const isEnd = (q: Audited, call: PlacedCall): boolean => /start|finish/.test(q.views[call.index]!.kind)

/** A corner that changes, or bends so little that noise alone ends it sooner. */
const wavers = (q: Audited, call: PlacedCall, radius: Metres): boolean =>
  q.views[call.index]!.change !== null || radius > WAVERS

/** Where the road no longer bends to a side, looked for forwards (1) or backwards (−1). */
function bendEnd(q: Audited, side: 'left' | 'right', at: Metres, way: 1 | -1): Metres {
  const { curvature, step } = q.route
  const sign = side === 'left' ? 1 : -1
  let i = Math.min(curvature.length - 1, Math.max(0, Math.round(at / step)))
  while (i > 0 && i < curvature.length - 1 && curvature[i]! * sign > LEAST_BEND) i += way
  return way > 0 ? Math.max(at, i * step) : Math.min(at, i * step)
}

/** Sharp corners on the way that no call names. */
function uncalledBetween(q: Audited, from: Metres, to: Metres): (End & { excess: Metres })[] {
  return q.route.features.flatMap((one, f) =>
    one.kind === 'corner' &&
    one.radius < TIGHT &&
    !q.callOn.has(f) &&
    one.from >= from - BESIDE &&
    one.to <= to + BESIDE
      ? [{ least: one.from, most: one.from, radius: one.radius, excess: 0 }]
      : [],
  )
}
