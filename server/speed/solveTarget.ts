import { type MetresPerSecond, type Seconds, toKmh } from '../units.ts'
import { roomFor } from './solveForces.ts'
import { type ProfileOptions, profileOf } from './solveProfile.ts'
import type { Car, RoadCells, SpeedProfile, Surface, Target } from './speed.ts'
import { tyreForces } from './tyreForces.ts'

/** Slowest commitment the model is asked for; below it a car would hardly move. */
const LEAST_COMMITMENT = 0.02
/** A target is met when the stage time is. */
const SAME_TIME: Seconds = 0.001
const ROUNDS = 60

/** Points the next commitment is interpolated from. */
const POINTS = 3
/** T ∝ c^−½ (windows.md §2): the slope that the first step goes by. */
const FIRST_SLOPE = -0.5

/** Natural logarithms. */
interface Tried {
  readonly c: number
  readonly time: number
}

/** A target that the car cannot meet on this road and surface, with what it can do. */
export class UnreachableTarget extends Error {
  override readonly name = 'UnreachableTarget'
  /** Whether more was asked than the car can do, or less than the model goes. */
  readonly asked: 'too fast' | 'too slow'
  /** The nearest it can do: fastest when asked too fast, slowest when asked too slow. */
  readonly averageSpeed: MetresPerSecond
  readonly time: Seconds

  constructor(message: string, asked: 'too fast' | 'too slow', nearest: SpeedProfile) {
    super(message)
    this.asked = asked
    this.averageSpeed = nearest.averageSpeed
    this.time = nearest.duration
  }
}

/**
 * The profile that meets a target: a secant, then a parabola, on ln c against ln T (T ∝ c^−½ but for rolling, slope and top speed), three solves as a
 * rule, with bisection where the secant leaves [0.02, 1]. Average is monotone in c (windows.md §2).
 * Throws UnreachableTarget when even c = 1 is too slow or c = 0.02 too fast; RangeError for a target that is not > 0.
 */
export function solveTarget(
  cells: RoadCells,
  car: Car,
  surface: Surface,
  target: Target,
  options: ProfileOptions = {},
): SpeedProfile {
  // Every try is written over the one before: only the last is kept.
  const into = roomFor(cells)
  const at = (commitment: number) => profileOf(cells, tyreForces(car, surface, commitment), options, into)
  if (target.kind === 'commitment') return at(target.commitment)
  const length = cells.curvature.length * cells.step
  const wanted = target.kind === 'time' ? target.time : length / target.speed
  if (!(wanted > 0 && Number.isFinite(wanted)))
    throw new RangeError(`solveTarget: the target must be > 0, got ${JSON.stringify(target)}`)

  let low = LEAST_COMMITMENT
  let high = 1
  let c = 0.7
  const tried: Tried[] = []
  for (let round = 0; round < ROUNDS; round++) {
    const profile = at(c)
    if (Math.abs(profile.duration - wanted) < SAME_TIME) return profile
    if (profile.duration > wanted) {
      if (c >= 1) throw tooFast(profile, target, car, surface)
      low = Math.max(low, c)
    } else {
      if (c <= LEAST_COMMITMENT) throw tooSlow(profile)
      high = Math.min(high, c)
    }
    tried.push({ c: Math.log(c), time: Math.log(profile.duration) })
    const next = Math.exp(interpolated(tried.slice(-POINTS), Math.log(wanted)))
    // An end is tried itself before anything is called unreachable; otherwise a step that leaves the bracket halves it.
    if (next >= 1 && high === 1) c = 1
    else if (next <= LEAST_COMMITMENT && low === LEAST_COMMITMENT) c = LEAST_COMMITMENT
    else c = next > low && next < high ? next : Math.sqrt(low * high)
    if (high / low < 1 + 1e-12) return profile
  }
  return at(c)
}

/** ln c at which ln T would be `wanted`: the line or parabola through the points tried (Newton's divided differences, c as a function of T). */
function interpolated(tried: readonly Tried[], wanted: number): number {
  const [a, b, d] = [tried.at(-1)!, tried.at(-2), tried.at(-3)]
  if (!b || b.time === a.time) return a.c + (wanted - a.time) / FIRST_SLOPE
  const ab = (b.c - a.c) / (b.time - a.time)
  const line = a.c + (wanted - a.time) * ab
  if (!d || d.time === b.time || d.time === a.time) return line
  const bend = ((d.c - b.c) / (d.time - b.time) - ab) / (d.time - a.time)
  return line + (wanted - a.time) * (wanted - b.time) * bend
}

function tooFast(profile: SpeedProfile, target: Target, car: Car, surface: Surface): UnreachableTarget {
  const asked =
    target.kind === 'average'
      ? `an average of ${toKmh(target.speed).toFixed(1)} km/h`
      : `a time of ${clock(target.kind === 'time' ? target.time : 0)}`
  return new UnreachableTarget(
    `A ${car.name} on ${surface.name} cannot reach ${asked} here; the fastest it can do is ${toKmh(profile.averageSpeed).toFixed(1)} km/h (${clock(profile.duration)}). Ask for less, or choose another car or surface.`,
    'too fast',
    profile,
  )
}

function tooSlow(profile: SpeedProfile): UnreachableTarget {
  return new UnreachableTarget(
    `That is slower than the model goes; the slowest here is ${toKmh(profile.averageSpeed).toFixed(1)} km/h (${clock(profile.duration)}).`,
    'too slow',
    profile,
  )
}

function clock(seconds: Seconds): string {
  const tenths = Math.round(seconds * 10)
  return `${Math.floor(tenths / 600)}:${((tenths % 600) / 10).toFixed(1).padStart(4, '0')}`
}
