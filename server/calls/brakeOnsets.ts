import type { SpeedProfile } from '../speed/speed.ts'
import type { Metres, Seconds, StageTime } from '../units.ts'

/** How close to its limit a node counts as held by it (relative, in v²): windows.md §3, tried on 1e-4, 5e-4, 1e-3, 3e-3. */
const AT_LIMIT = 1e-3
/** Driving on for longer than this between two brakings makes the later one count. */
const DROVE_ON: Seconds = 1

export interface RoadPart {
  readonly from: Metres
  readonly to: Metres
  /** More road that belongs to it where it is no other part's: about the crest named in its call. */
  readonly reach?: { readonly from: Metres; readonly to: Metres }
}

/**
 * For each part of road, when braking for it begins; null where the car is never braking for it.
 * Every node of the backward pass is owned by the part it is braked for; the onset is the first bound node (w = braking curve) with
 * that owner, crossed inside its cell by the extended drive line. A part entered while braking for a later one takes that one's onset too
 * (windows.md §3). `parts` in any order; result parallel to it. O(nodes + parts).
 */
export function brakeOnsets(profile: SpeedProfile, parts: readonly RoadPart[]): (StageTime | null)[] {
  const owner = nodeOwners(profile, partAtNode(profile, parts))
  const onset: (StageTime | null)[] = parts.map(() => null)
  const lastBound: StageTime[] = parts.map(() => Number.NEGATIVE_INFINITY)
  const met: boolean[] = parts.map(() => false)
  const n = profile.speed.length - 1
  for (let i = 0; i <= n; i++) {
    const p = owner[i]!
    if (p < 0 || !isBound(profile, i)) continue
    const time = profile.time[i]!
    if (onset[p] === null || (!met[p] && time - lastBound[p]! > DROVE_ON)) onset[p] = crossing(profile, i)
    lastBound[p] = time
    if (profile.limitSquared[i]! * (1 - AT_LIMIT) <= profile.brakingSquared[i]!) met[p] = true
  }
  return parts.map((part, r) => {
    const node = Math.min(n, Math.ceil(part.from / profile.step - 1e-9))
    const p = owner[node]!
    const own = onset[r] ?? null
    if (p < 0 || p === r || !isBound(profile, node)) return own
    const later = onset[p] ?? null
    return own === null ? later : later === null ? own : Math.min(own, later)
  })
}

function isBound(profile: SpeedProfile, i: number): boolean {
  // The profile stores v; squaring its root may differ from the braking curve in the last digits.
  return profile.speed[i]! ** 2 >= profile.brakingSquared[i]! * (1 - 1e-12)
}

/** Part at each node, of the cells on both sides of it; the one that begins later where two meet. −1 for none. */
function partAtNode(profile: SpeedProfile, parts: readonly RoadPart[]): Int32Array {
  const n = profile.speed.length - 1
  const at = new Int32Array(n + 1).fill(-1)
  const order = parts.map((_, p) => p).sort((a, b) => parts[a]!.from - parts[b]!.from || a - b)
  const nodes = (road: { from: Metres; to: Metres }) => ({
    from: Math.max(0, Math.floor(road.from / profile.step + 1e-9)),
    to: Math.min(n, Math.ceil(road.to / profile.step - 1e-9)),
  })
  for (const p of order) {
    const { from, to } = nodes(parts[p]!)
    for (let i = from; i <= to; i++) at[i] = p
  }
  for (const p of order) {
    const reach = parts[p]!.reach
    if (!reach) continue
    const { from, to } = nodes(reach)
    for (let i = from; i <= to; i++) if (at[i]! < 0) at[i] = p
  }
  return at
}

function nodeOwners(profile: SpeedProfile, partAt: Int32Array): Int32Array {
  const n = profile.speed.length - 1
  const owner = new Int32Array(n + 1).fill(-1)
  const { limitSquared } = profile
  let top = 0
  for (let i = 0; i <= n; i++) top = Math.max(top, limitSquared[i]!)
  for (let i = n; i >= 0; i--) {
    const limit = profile.limitSquared[i]!
    const after = i < n ? owner[i + 1]! : -1
    if (limit * (1 - AT_LIMIT) <= profile.brakingSquared[i]! && limit < top)
      owner[i] = partAt[i]! >= 0 ? partAt[i]! : after
    else if (limit <= profile.brakingSquared[i]!) owner[i] = -1
    else owner[i] = after
  }
  return owner
}

/** When the drive line, extended from the node before, meets the braking curve inside cell i−1; linear in w. */
function crossing(profile: SpeedProfile, i: number): StageTime {
  if (i === 0 || isBound(profile, i - 1)) return profile.time[i]!
  const w0 = profile.speed[i - 1]! ** 2
  const gain = i >= 2 ? w0 - profile.speed[i - 2]! ** 2 : 0
  const b0 = profile.brakingSquared[i - 1]!
  const slope = gain - (profile.brakingSquared[i]! - b0)
  const x = slope > 0 ? Math.min(1, Math.max(0, (b0 - w0) / slope)) : 1
  const v1 = Math.sqrt(Math.max(0, w0 + gain * x))
  return profile.time[i - 1]! + (2 * x * profile.step) / Math.max(1e-3, profile.speed[i - 1]! + v1)
}
