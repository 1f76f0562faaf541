import { type MetresPerSecond, type Seconds, toKmh } from '../units.ts'
import { type ProfileOptions, solveProfile } from './solveProfile.ts'
import type { Car, RoadCells, SpeedProfile, Surface, Target } from './speed.ts'

/** Slowest commitment the model is asked for; below it a car would hardly move. */
const LEAST_COMMITMENT = 0.02
/** A target is met when the stage time is. */
const SAME_TIME: Seconds = 0.001
const ROUNDS = 60

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
 * The profile that meets a target: a secant on ln T against ln c (T ∝ c^−½ but for rolling, slope and top speed), three solves as a
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
  const at = (commitment: number) => solveProfile({ cells, car, surface, commitment, ...options })
  if (target.kind === 'commitment') return at(target.commitment)
  const length = cells.curvature.length * cells.step
  const wanted = target.kind === 'time' ? target.time : length / target.speed
  if (!(wanted > 0 && Number.isFinite(wanted)))
    throw new RangeError(`solveTarget: the target must be > 0, got ${JSON.stringify(target)}`)

  let low = LEAST_COMMITMENT
  let high = 1
  let c = 0.7
  let slope = -0.5
  let last: { c: number; time: Seconds } | null = null
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
    if (last && last.c !== c) slope = Math.log(profile.duration / last.time) / Math.log(c / last.c) || slope
    last = { c, time: profile.duration }
    const next: number = c * (wanted / profile.duration) ** (1 / slope)
    // An end is tried itself before anything is called unreachable; otherwise a step that leaves the bracket halves it.
    if (next >= 1 && high === 1) c = 1
    else if (next <= LEAST_COMMITMENT && low === LEAST_COMMITMENT) c = LEAST_COMMITMENT
    else c = next > low && next < high ? next : Math.sqrt(low * high)
    if (high / low < 1 + 1e-12) return profile
  }
  return at(c)
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
