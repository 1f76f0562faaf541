import type { Metres, Radians } from '../units.ts'
import type { CallView } from './callView.ts'
import { lnRadius, meantShare, type Scale } from './likelihood.ts'
import { shownLnRadius, shownSpread } from './shownRadius.ts'

/** Share of arc in a whole corner with its ramps [derived: 0.3 of the arc at each end, half curved]. */
const RAMPED = 0.77
/** A corner is never taken to be longer or shorter than it is shown by more than this at an end. */
const MOST: Metres = 25

/**
 * By how much a corner is shown to begin too early and to end too late, metres at each end: the road knows how much a bend turns, so what it shows
 * too wide it shows too long,
 *   e = A (R_shown − R) / (2·0.77),
 * R being the likeliest of the radius shown and of the grade called, each by its σ; 0 where grade and road do not belong together.
 * Negative where it is shown too short. 0 on roads not made from a log. radius > 0, angle > 0.
 */
export function endExcess(call: CallView, radius: Metres, angle: Radians, scale: Scale): Metres {
  const mu = lnRadius(call, scale)
  if (!scale.blur || mu === null || call.flat || call.change !== null) return 0
  const crew2 = scale.sigma ** 2
  const road2 = shownSpread(mu, angle, scale.blur) ** 2
  const centre = shownLnRadius(mu, angle, scale.blur)
  const lnR = Math.log(radius)
  const likeliest = Math.exp(mu + ((lnR - centre) * crew2) / (crew2 + road2))
  const belongs = meantShare(centre, false, lnR, Math.sqrt(crew2 + road2))
  const excess = (belongs * angle * (radius - likeliest)) / (2 * RAMPED)
  return Math.min(MOST, Math.max(-MOST, excess))
}
