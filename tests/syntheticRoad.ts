import type { Metres, PerMetre, Radians, Seconds } from '../server/units.ts'
import { seededNormal, seededRandom } from './seededRandom.ts'

/** One corner as built: ramp, arc (or two arcs with a ramp between), ramp. Stations of the road. */
export interface TrueCorner {
  readonly side: 'left' | 'right'
  readonly radius: Metres
  readonly from: Metres
  readonly to: Metres
  /** Where the arc's full curvature begins and ends. */
  readonly arcFrom: Metres
  readonly arcTo: Metres
  readonly angle: Radians
  /** Middle of the change of radius and the second radius, where there is one. */
  readonly change: { readonly at: Metres; readonly radius: Metres } | null
}

/** A road known exactly: every `step` metres a point, straights and clothoid-arc-clothoid corners. */
export interface TrueRoad {
  readonly step: Metres
  readonly length: Metres
  readonly x: Float64Array
  readonly y: Float64Array
  readonly heading: Float64Array
  readonly curvature: Float64Array
  readonly corners: readonly TrueCorner[]
}

const RADII = [150, 100, 65, 42, 27, 17, 9]
/** How often each radius comes: fast bends most. */
const SHARE = [0.14, 0.18, 0.2, 0.18, 0.12, 0.08, 0.1]
const STEP: Metres = 0.1
const CHANGE = 1.7

interface Piece {
  readonly length: Metres
  readonly k0: PerMetre
  readonly k1: PerMetre
}

/**
 * A made-up road of about `length` metres. Ramps are 0.3 of the arc, 20 m at most (lateral jerk then lies between 1 and 3 m/s³ at recce speed).
 * With `changes` some arcs longer than 60 m and wider than 20 m change their radius by 1.7 halfway, either way.
 */
export function syntheticRoad(seed: number, q: { length?: Metres; changes?: boolean } = {}): TrueRoad {
  const random = seededRandom(seed)
  const pieces: Piece[] = [{ length: 100, k0: 0, k1: 0 }]
  const corners: TrueCorner[] = []
  let s = 100
  const add = (length: Metres, k0: PerMetre, k1: PerMetre) => {
    pieces.push({ length, k0, k1 })
    s += length
  }
  let turned = 0
  while (s < (q.length ?? 10_000) - 200) {
    const radius = pick(random)
    const angle = turning(radius, random)
    const sign = Math.abs(turned) > 2 ? -Math.sign(turned) : random() < 0.5 ? -1 : 1
    turned += sign * angle
    const ramp = Math.min(20, 0.3 * radius * angle)
    const arc = Math.max(3, radius * angle - ramp)
    const changes = (q.changes ?? false) && radius > 20 && arc > 60 && random() < 0.7
    const from = s
    const k = sign / radius
    add(ramp, 0, k)
    const arcFrom = s
    let change: TrueCorner['change'] = null
    let exitRamp = ramp
    let last = k
    if (changes) {
      const second = random() < 0.5 ? radius / CHANGE : radius * CHANGE
      last = sign / second
      add(arc / 2, k, k)
      change = { at: s + 5, radius: second }
      add(10, k, last)
      exitRamp = Math.min(20, 0.3 * second * angle)
      add(arc / 2, last, last)
    } else add(arc, k, k)
    const arcTo = s
    add(exitRamp, last, 0)
    corners.push({
      side: sign > 0 ? 'left' : 'right',
      radius,
      from,
      to: s,
      arcFrom,
      arcTo,
      angle: pieces
        .slice(-(changes ? 5 : 3))
        .reduce((sum, one) => sum + (Math.abs(one.k0 + one.k1) / 2) * one.length, 0),
      change,
    })
    add(15 + 240 * random() ** 2, 0, 0)
  }
  add(100, 0, 0)
  return { ...integrate(pieces, s), length: s, step: STEP, corners }
}

/** Angles a corner of a grade usually has (placement's own ranges for grades and hairpins). */
function turning(radius: Metres, random: () => number): Radians {
  const even = (random() + random()) / 2
  if (radius < 10) return 2.4 + 0.8 * even
  return radius < 80 ? 0.55 + 0.8 * even : 0.4 + 0.75 * even
}

function pick(random: () => number): Metres {
  let at = random()
  for (let i = 0; i < SHARE.length; i++) {
    at -= SHARE[i]!
    if (at < 0) return RADII[i]!
  }
  return RADII[0]!
}

/** Positions by the midpoint rule at a step of 0.1 m: wrong by less than a millimetre a kilometre. */
function integrate(pieces: readonly Piece[], length: Metres) {
  const n = Math.floor(length / STEP) + 1
  const x = new Float64Array(n)
  const y = new Float64Array(n)
  const heading = new Float64Array(n)
  const curvature = new Float64Array(n)
  let piece = 0
  let start = 0
  const at = (s: Metres) => {
    while (piece < pieces.length - 1 && s >= start + pieces[piece]!.length) start += pieces[piece++]!.length
    const { k0, k1, length: long } = pieces[piece]!
    return k0 + ((k1 - k0) * (s - start)) / long
  }
  for (let i = 0; i < n; i++) {
    curvature[i] = at(i * STEP)
    if (i + 1 === n) break
    const middle = at((i + 0.5) * STEP)
    const direction = heading[i]! + (middle * STEP) / 2
    heading[i + 1] = heading[i]! + middle * STEP
    x[i + 1] = x[i]! + STEP * Math.cos(direction)
    y[i + 1] = y[i]! + STEP * Math.sin(direction)
  }
  return { x, y, heading, curvature }
}

export interface Log {
  readonly x: number[]
  readonly y: number[]
  readonly t: number[]
  /** True station of each fix. */
  readonly s: number[]
}

/**
 * The road logged as on recce: v = min(15, √(2.5 R)) m/s, a fix every `every` seconds, white noise on a bias that wanders with standard deviation `bias`
 * and memory 0.99 a fix.
 */
export function logOf(road: TrueRoad, seed: number, q: { noise: Metres; bias: Metres; every?: Seconds }): Log {
  const random = seededRandom(seed * 7919 + 13)
  const log: Log = { x: [], y: [], t: [], s: [] }
  let bx = q.bias * seededNormal(random)
  let by = q.bias * seededNormal(random)
  const kept = 0.99
  const fresh = Math.sqrt(1 - kept * kept) * q.bias
  const every = q.every ?? 1
  let time = 0
  let next = 0
  for (let i = 0; i < road.x.length; i++) {
    const speed = Math.min(15, Math.sqrt(2.5 / Math.max(1e-9, Math.abs(road.curvature[i]!))))
    const lasts = road.step / speed
    while (next < time + lasts) {
      const part = (next - time) / lasts
      const j = Math.min(road.x.length - 1, i + 1)
      bx = kept * bx + fresh * seededNormal(random)
      by = kept * by + fresh * seededNormal(random)
      log.x.push(road.x[i]! + part * (road.x[j]! - road.x[i]!) + bx + q.noise * seededNormal(random))
      log.y.push(road.y[i]! + part * (road.y[j]! - road.y[i]!) + by + q.noise * seededNormal(random))
      log.t.push(next)
      log.s.push((i + part) * road.step)
      next += every
    }
    time += lasts
  }
  return log
}
