import type { Metres, MetresPerSecond, Seconds } from '../units.ts'
import { type Fixes, keep } from './fixes.ts'

/** A car slower than this is not driving the stage: walking pace, common practice, no source. */
export const CREEP: MetresPerSecond = 1.5
const FOLD: Metres = 1
const STANDING: Metres = 4
const STAND_WINDOW: Seconds = 10
/** A creeping car has moved on when no later fix of the creep lies this near; two legs of a hairpin are farther apart. */
const PROGRESS: Metres = 8
/** Pace is taken over this long at least, so that noise of a fix is no pace. */
const PACE_WINDOW: Seconds = 3

type Lose = (reason: string, count: number) => void

/** A car creeping to the start or rolling to a stop draws loops of noise: cut where the pace first passes walking. */
export function trimCreeping(fixes: Fixes, lose: Lose): Fixes {
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
export function foldStandstill(fixes: Fixes, lose: Lose): Fixes {
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

/**
 * Where a car creeps (queue, junction, turning round) its fixes wander in loops no road has. In each such stretch, from every fix kept the walk goes on to the last
 * one that came back within 8 m of it, and all between stand as their mean; the clock lasts no longer than walking the way left.
 */
export function passOverCreeping(fixes: Fixes, lose: Lose): Fixes {
  const t = fixes.t!
  const n = t.length
  const creeps = creeping(fixes)
  const out: Fixes = { x: [], y: [], z: [], t: [] }
  let cut = 0
  let passed = 0
  for (let i = 0; i < n; ) {
    let ends = i
    if (creeps[i]) {
      let last = i
      while (last + 1 < n && creeps[last + 1]) last++
      for (let j = i; j <= last; j++)
        if (Math.hypot(fixes.x[j]! - fixes.x[i]!, fixes.y[j]! - fixes.y[i]!) < PROGRESS) ends = j
    }
    const count = ends - i + 1
    const mean = (values: readonly number[]) => values.slice(i, ends + 1).reduce((a, b) => a + b, 0) / count
    const x = count === 1 ? fixes.x[i]! : mean(fixes.x)
    const y = count === 1 ? fixes.y[i]! : mean(fixes.y)
    const time = count === 1 ? t[i]! : mean(t)
    const before = out.t!.length - 1
    if (before >= 0 && (count > 1 || creeps[i - 1])) {
      const walked = Math.hypot(x - out.x[before]!, y - out.y[before]!) / CREEP
      cut = Math.max(cut, time - out.t![before]! - Math.max(0.5, walked))
    }
    out.x.push(x)
    out.y.push(y)
    out.z.push(fixes.z[i + (count >> 1)]!)
    out.t!.push(time - cut)
    passed += count - 1
    i = ends + 1
  }
  lose('points of creeping, passed over', passed)
  return out
}

/** Whether each fix belongs to a stretch slower than walking. */
function creeping(fixes: Fixes): boolean[] {
  const t = fixes.t!
  const n = t.length
  const creeps = new Array<boolean>(n).fill(false)
  let j = 0
  for (let i = 0; i < n; i++) {
    j = Math.max(j, i + 1)
    while (j < n && t[j]! - t[i]! < PACE_WINDOW) j++
    if (j >= n) break
    const way = Math.hypot(fixes.x[j]! - fixes.x[i]!, fixes.y[j]! - fixes.y[i]!)
    // Two fixes a long pause apart say nothing of the pace between them.
    if (way < CREEP * (t[j]! - t[i]!) && t[j]! - t[i]! < 4 * PACE_WINDOW) creeps.fill(true, i, j + 1)
  }
  return creeps
}
