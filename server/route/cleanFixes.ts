import type { Metres, Seconds } from '../units.ts'
import { type Fixes, keep } from './fixes.ts'
import { CREEP, foldStandstill, passOverCreeping, trimCreeping } from './standing.ts'

const SAME_PLACE: Metres = 0.05 // below GPS noise, above rounding
const SPIKE_FLOOR: Metres = 3
const SPIKE_ROUNDS = 4
const SPIKE_SPAN: Seconds = 20
const GAP_SECONDS = 6
const GAP_METRES = 60

/** Lets go of fixes that say nothing or lie, counting each by reason (docs/method/route.md). The input is not changed. */
export function cleanFixes(raw: Fixes, lose: (reason: string, count: number) => void): Fixes {
  let fixes = dropRepeats(raw, lose)
  if (fixes.t !== null) {
    fixes = trimCreeping(fixes, lose)
    fixes = foldStandstill(fixes, lose)
    fixes = dropSpikes(fixes, lose)
    fixes = passOverCreeping(fixes, lose)
    let gaps = 0
    for (let i = 1; i < fixes.x.length; i++)
      if (fixes.t![i]! - fixes.t![i - 1]! > GAP_SECONDS && step(fixes, i) > GAP_METRES) gaps++
    lose('gaps in the log, bridged', gaps)
    fixes = shortenPauses(fixes)
  }
  return fixes
}

/** A pause of the clock longer than the way across it takes says nothing of the road; left in, a curve smooth in time would swing wide. */
function shortenPauses(fixes: Fixes): Fixes {
  const t = fixes.t!
  const paces: number[] = []
  for (let i = 1; i < t.length; i++) paces.push(step(fixes, i) / (t[i]! - t[i - 1]!))
  const usual = Math.max(CREEP, [...paces].sort((a, b) => a - b)[paces.length >> 1] ?? CREEP)
  const out = t.length > 0 ? [t[0]!] : []
  for (let i = 1; i < t.length; i++) {
    const lasts = t[i]! - t[i - 1]!
    out.push(out[i - 1]! + (lasts > GAP_SECONDS ? Math.min(lasts, Math.max(1, step(fixes, i) / usual)) : lasts))
  }
  return { ...fixes, t: out }
}

const step = (fixes: Fixes, i: number) => Math.hypot(fixes.x[i]! - fixes.x[i - 1]!, fixes.y[i]! - fixes.y[i - 1]!)

function dropRepeats(fixes: Fixes, lose: (reason: string, count: number) => void): Fixes {
  const kept = new Array<boolean>(fixes.x.length).fill(false)
  let last = -1
  let repeated = 0
  let backward = 0
  for (let i = 0; i < fixes.x.length; i++) {
    if (last >= 0 && fixes.t !== null && !(fixes.t[i]! > fixes.t[last]!)) backward++
    else if (last >= 0 && Math.hypot(fixes.x[i]! - fixes.x[last]!, fixes.y[i]! - fixes.y[last]!) < SAME_PLACE)
      repeated++
    else {
      kept[i] = true
      last = i
    }
  }
  lose('repeated points', repeated)
  lose('points with no later time than the one before', backward)
  return keep(fixes, (i) => kept[i]!)
}

/** A fix far from the cubic through its two neighbours on each side is a spike, when it is the worst near it. */
function dropSpikes(fixes: Fixes, lose: (reason: string, count: number) => void): Fixes {
  let current = fixes
  let dropped = 0
  for (let round = 0; round < SPIKE_ROUNDS; round++) {
    const errors = current.x.map((_, i) => spikeError(current, i))
    const known = errors.filter((e) => e > 0).sort((a, b) => a - b)
    const limit = Math.max(SPIKE_FLOOR, 6 * (known[known.length >> 1] ?? 0))
    const isSpike = (i: number) => errors[i]! > limit && [-2, -1, 1, 2].every((k) => errors[i]! >= (errors[i + k] ?? 0))
    const count = errors.filter((_, i) => isSpike(i)).length
    if (count === 0) break
    dropped += count
    current = keep(current, (i) => !isSpike(i))
  }
  lose('spikes far off the road', dropped)
  return current
}

function spikeError(fixes: Fixes, i: number): Metres {
  const t = fixes.t!
  if (i < 2 || i > t.length - 3 || t[i + 2]! - t[i - 2]! > SPIKE_SPAN) return 0
  const nodes = [i - 2, i - 1, i + 1, i + 2]
  const at = (values: readonly number[]) =>
    nodes.reduce(
      (sum, k) =>
        sum +
        values[k]! *
          nodes.reduce((product, j) => (j === k ? product : (product * (t[i]! - t[j]!)) / (t[k]! - t[j]!)), 1),
      0,
    )
  return Math.hypot(fixes.x[i]! - at(fixes.x), fixes.y[i]! - at(fixes.y))
}
