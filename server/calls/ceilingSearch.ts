import { solveProfile } from '../speed/solveProfile.ts'
import type { Car, RoadCells, SpeedProfile, Surface } from '../speed/speed.ts'
import { fromKmh, type MetresPerSecond } from '../units.ts'
import { callWindows, type TimedCall } from './callWindows.ts'
import { scaledCeiling } from './ceilings.ts'
import type { Ceiling } from './plan.ts'
import { type PlanInput, scalingCalls, timedCallsOf, wholeWindows } from './planCalls.ts'
import { findCrunches, soonestStarts } from './schedule.ts'

export interface CeilingQuestion extends Omit<PlanInput, 'profile'> {
  readonly cells: RoadCells
  readonly car: Car
  readonly surface: Surface
  /** Commitment to begin at: that of the run being looked at. */
  readonly commitment: number
}

export interface SolvedCeiling {
  /** Null when no speed that was asked is too fast, or none slow enough. */
  readonly ceiling: Ceiling | null
  readonly outcome: 'found' | 'never late' | 'always late'
  /** The fastest the car can go here; a ceiling above it is out of its reach. */
  readonly fastest: MetresPerSecond
  /** Profiles solved. */
  readonly solves: number
}

/** Commitments looked at (windows.md §8). Above 1 no car can go: such a ceiling only says how much room there is. */
const SLOWEST = 0.02
const FASTEST = 5
/** The speed is found to this. */
const SAME_SPEED: MetresPerSecond = fromKmh(0.01)
const WIDEN = 1.01
const CLOSED_FORM_STEPS = 3

/**
 * The highest average at which no call is late, every profile solved afresh (windows.md §8): closed-form steps in commitment, then a
 * bracket widened from 1 %, then bisection to 0.01 km/h on the very windows that planCalls schedules. Where the plan fits again above a
 * late speed this may find the upper edge: firstLateSpeed looks for that. 10–20 solves as a rule.
 */
export function solveCeiling(q: CeilingQuestion): SolvedCeiling {
  const at = evaluator(q)
  const fastest = at(1).profile.averageSpeed
  const done = (outcome: SolvedCeiling['outcome'], ceiling: Ceiling | null = null): SolvedCeiling => ({
    ceiling,
    outcome,
    fastest,
    solves: at.solves(),
  })
  let c = clampCommitment(q.commitment)
  for (let step = 0; step < CLOSED_FORM_STEPS; step++) {
    const { kMax, fits } = at(c).closedForm()
    if (!fits || !Number.isFinite(kMax)) break
    const next = clampCommitment(c * kMax ** 2)
    if (Math.abs(next / c - 1) < 1e-3) break
    c = next
  }
  const start = at(c)
  let fit = start
  let late = start
  for (let widen = WIDEN; fit.late || !late.late; widen *= widen) {
    c = clampCommitment(fit.late ? c / widen : c * widen)
    const one: Evaluation = at(c)
    if (fit.late) {
      if (one.late) late = one
      fit = one
    } else {
      if (!one.late) fit = one
      late = one
    }
    if (c === SLOWEST && fit.late) return done('always late')
    if (c === FASTEST && !late.late) return done('never late')
  }
  while (late.profile.averageSpeed - fit.profile.averageSpeed > SAME_SPEED) {
    const one: Evaluation = at(Math.sqrt(fit.commitment * late.commitment))
    if (one.late) late = one
    else fit = one
  }
  return done('found', { averageSpeed: fit.profile.averageSpeed, ...late.binding(), method: 'solved' })
}

/** The first speed, coming from below in steps of 1 %, at which something is late, as a ceiling; null when no such speed is found below `ceiling`. */
export function firstLateSpeed(q: CeilingQuestion, ceiling: Ceiling): Ceiling | null {
  const at = evaluator(q)
  // Average goes about as the root of commitment.
  for (let c = clampCommitment(q.commitment / 4); ; c = clampCommitment(c * 1.0201)) {
    const one = at(c)
    if (one.profile.averageSpeed >= ceiling.averageSpeed * 0.999 || c === FASTEST) return null
    if (one.profile.averageSpeed < ceiling.averageSpeed / 2 || !one.late) continue
    return { averageSpeed: one.profile.averageSpeed, ...one.binding(), method: 'solved' }
  }
}

interface Evaluation {
  readonly commitment: number
  readonly profile: SpeedProfile
  readonly late: boolean
  closedForm(): { fits: boolean; kMax: number }
  binding(): { first: number; last: number }
}

const clampCommitment = (c: number) => Math.min(FASTEST, Math.max(SLOWEST, c))

function evaluator(q: CeilingQuestion): ((commitment: number) => Evaluation) & { solves: () => number } {
  let solves = 0
  const { calls, timed } = timedCallsOf(q)
  const evaluate = (commitment: number): Evaluation => {
    solves++
    const profile = solveProfile({ cells: q.cells, car: q.car, surface: q.surface, commitment })
    return evaluation(commitment, profile, q, calls, timed)
  }
  return Object.assign(evaluate, { solves: () => solves })
}

function evaluation(
  commitment: number,
  profile: SpeedProfile,
  q: CeilingQuestion,
  calls: readonly number[],
  timed: readonly TimedCall[],
): Evaluation {
  const windows = callWindows(timed, q.durations, profile, q.settings)
  const whole = wholeWindows(windows, q.durations, q.settings)
  const late = soonestStarts(whole).some((start, i) => start > whole[i]!.latest)
  return {
    commitment,
    profile,
    late,
    closedForm: () => scaledCeiling(scalingCalls(windows, q.durations, q.settings)),
    binding: () => {
      const worst = findCrunches(whole, 0).reduce((most, one) => (one.over > most.over ? one : most))
      return { first: calls[worst.core[0]]!, last: calls[worst.core[1]]! }
    },
  }
}
