import type { Metres, Seconds } from '../units.ts'

export interface Fixes {
  x: number[]
  y: number[]
  z: (number | null)[]
  /** Seconds since the first fix; null throughout for a drawn line. */
  t: number[] | null
}

const SAME_PLACE: Metres = 0.05 // below GPS noise, above rounding
const FOLD: Metres = 1
const STANDING: Metres = 4
const STAND_WINDOW: Seconds = 10
const SPIKE_FLOOR: Metres = 3
const SPIKE_ROUNDS = 4
const SPIKE_SPAN: Seconds = 20
const CREEP = 1.5 // m/s: a car that is not yet driving the stage
const GAP_SECONDS = 6
const GAP_METRES = 60

/** Lets go of fixes that say nothing or lie, counting each by reason (road.md, clean). The input is not changed. */
export function cleanFixes(raw: Fixes, lose: (reason: string, count: number) => void): Fixes {
  let fixes = dropRepeats(raw, lose)
  if (fixes.t !== null) {
    fixes = trimCreeping(fixes, lose)
    fixes = foldStandstill(fixes, lose)
    fixes = dropSpikes(fixes, lose)
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

function keep(fixes: Fixes, kept: (i: number) => boolean): Fixes {
  const pick = <T>(values: readonly T[]) => values.filter((_, i) => kept(i))
  return { x: pick(fixes.x), y: pick(fixes.y), z: pick(fixes.z), t: fixes.t === null ? null : pick(fixes.t) }
}

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

/** A car creeping to the start or rolling to a stop draws loops of noise: cut where the pace first passes walking. */
function trimCreeping(fixes: Fixes, lose: (reason: string, count: number) => void): Fixes {
  const n = fixes.x.length
  const pace = (i: number, j: number) =>
    Math.hypot(fixes.x[j]! - fixes.x[i]!, fixes.y[j]! - fixes.y[i]!) / (fixes.t![j]! - fixes.t![i]!)
  let from = 0
  while (from + 3 < n && pace(from, from + 3) < CREEP) from++
  let to = n - 1
  while (to - 3 > from && pace(to - 3, to) < CREEP) to--
  if (to - from < 5) return fixes
  lose('points of standing or creeping at start and finish', n - 1 - to + from)
  return keep(fixes, (i) => i >= from && i <= to)
}

/** Standing still: less than 4 m net in 10 s becomes one mean fix, its time cut out of the clock. */
function foldStandstill(fixes: Fixes, lose: (reason: string, count: number) => void): Fixes {
  const t = fixes.t!
  const out: Fixes = { x: [], y: [], z: [], t: [] }
  let cut = 0
  let folded = 0
  for (let i = 0; i < t.length; ) {
    let j = i
    while (j + 1 < t.length && Math.hypot(fixes.x[j + 1]! - fixes.x[i]!, fixes.y[j + 1]! - fixes.y[i]!) < STANDING) j++
    const stands = j > i && t[j]! - t[i]! >= STAND_WINDOW
    const end = stands ? j : i
    const mean = (values: readonly number[]) => values.slice(i, end + 1).reduce((a, b) => a + b, 0) / (end - i + 1)
    const last = out.x.length - 1
    const x = mean(fixes.x)
    const y = mean(fixes.y)
    const isFold = !stands && last >= 0 && i + 1 < t.length && Math.hypot(x - out.x[last]!, y - out.y[last]!) < FOLD
    if (isFold) folded++
    else {
      out.x.push(x)
      out.y.push(y)
      out.z.push(fixes.z[i]!)
      out.t!.push(t[i]! - cut)
    }
    if (stands) {
      folded += end - i
      cut += t[end]! - t[i]!
    }
    i = end + 1
  }
  lose('points of standing still', folded)
  return out
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
