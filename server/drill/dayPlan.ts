import type { EpochTime, Seconds } from '../units.ts'
import { DAY, type LocalMoment, type RideCosts, type Stretch } from './drill.ts'
import { dateAfter, daysBetween, instantOf, practiceDay } from './practiceDay.ts'
import { fullBudget, planSession, type RideState, ridesEnd } from './session.ts'

/** The morning ride begins this long before the start. */
export const MORNING_BEFORE: Seconds = 90 * 60
/** Of the last evening's minutes this share, and never more than so many rides of the stage, is kept for the event morning (measured: docs/method/learning.md). */
const MORNING_SHARE = 0.5
const MORNING_RIDES = 2
/** Passes left at which the whole stage is ridden without a word about time; below FEW a choice is offered. */
const ENOUGH = 4
const FEW = 2
/** Days ahead that are planned: an event farther away is planned when it comes near. */
export const FARTHEST_DAYS = 366

export interface PlannedDay {
  /** Practice day, YYYY-MM-DD. */
  readonly date: string
  readonly when: 'evening' | 'morning'
  /** About when it is practised, for the forecast. */
  readonly at: EpochTime
  readonly seconds: Seconds
  readonly stretches: readonly Stretch[]
  /** Whole rides of the stage it amounts to. */
  readonly rides: number
}

export interface DayPlan {
  /** Why there is no plan, or null. */
  readonly state: 'ahead' | 'today' | 'past'
  /** Calendar days to the event. */
  readonly daysLeft: number
  readonly days: readonly PlannedDay[]
  /** Rides of the whole stage that still fit. */
  readonly passes: number
  /** What to do when time is short; 'fine' otherwise. */
  readonly time: 'fine' | 'short' | 'very short'
}

export interface DayPlanRequest {
  readonly now: EpochTime
  readonly event: LocalMoment
  readonly minutesPerDay: number
  /** The crew has the event morning free for a last ride. */
  readonly morning: boolean
  readonly costs: RideCosts
  readonly state: RideState
  /** Seconds practised on this practice day already. */
  readonly doneToday: Seconds
  /** Seconds of a day's practice for this stage, where several share the minutes; minutesPerDay when absent. */
  readonly secondsOn?: (day: number) => Seconds
}

/** Of the `whole` last evening's seconds, those that are worth more on the event morning; `ride`: one ride at full stage time. */
export const keptForMorning = (whole: Seconds, ride: Seconds): Seconds =>
  Math.min(MORNING_RIDES * ride, MORNING_SHARE * whole)

/**
 * What each day brings until the event. The last evening keeps back its later part for the event morning where that is free (keptForMorning), ridden condensed:
 * a call met twice as late is worth more than a call met at leisure. An event that has begun leaves no plan; on its own day there is that morning, or nothing.
 */
export function planByDay(q: DayPlanRequest): DayPlan {
  const start = instantOf(q.event)
  const today = practiceDay(q.now, q.event.zone)
  const daysLeft = daysBetween(today, q.event.date)
  const n = q.costs.full.length
  const perRide = sum(q.costs.full)
  if (q.now >= start) return { state: 'past', daysLeft, days: [], passes: 0, time: 'fine' }
  const budget = (day: number) => q.secondsOn?.(day) ?? q.minutesPerDay * 60
  let state = q.state
  const days: PlannedDay[] = []
  const add = (date: string, when: PlannedDay['when'], at: EpochTime, seconds: Seconds, full: Seconds) => {
    const stretches = planSession({
      ...state,
      costs: q.costs,
      seconds,
      fullBudget: full,
    })
    state = { ...ridesEnd(state, stretches, n), fullToday: 0 }
    const used = sum(stretches.map((one) => one.seconds))
    const calls = stretches.reduce((count, one) => count + one.to - one.from, 0)
    days.push({ date, when, at, seconds: used, stretches, rides: n === 0 ? 0 : calls / n })
  }
  for (let day = 0; day < Math.min(daysLeft, FARTHEST_DAYS); day++) {
    const last = day === daysLeft - 1
    const whole = budget(day)
    const kept = last && q.morning ? keptForMorning(whole, perRide) : 0
    const seconds = Math.max(0, whole - kept - (day === 0 ? q.doneToday : 0))
    const date = dateAfter(today, day)
    const evening = instantOf({ date, time: '20:00', zone: q.event.zone })
    add(date, 'evening', Math.max(q.now, evening), seconds, fullBudget(q.costs, whole))
    if (kept > 0) add(q.event.date, 'morning', Math.max(q.now, start - MORNING_BEFORE), kept, 0)
  }
  if (daysLeft === 0 && q.morning) {
    const free = start - q.now
    const seconds = Math.min(Math.max(0, keptForMorning(budget(0), perRide) - q.doneToday), free)
    add(q.event.date, 'morning', Math.max(q.now, start - Math.max(MORNING_BEFORE, seconds)), seconds, 0)
  }
  const passes = n === 0 ? 0 : days.reduce((rides, day) => rides + day.rides, 0)
  return {
    state: daysLeft <= 0 ? 'today' : 'ahead',
    daysLeft,
    days,
    passes,
    time: n === 0 || passes >= ENOUGH ? 'fine' : passes >= FEW ? 'short' : 'very short',
  }
}

/** Practised that many days in a row, up to today or yesterday: today may still come. */
export function streak(reviewedOn: readonly string[], today: string): number {
  const days = new Set(reviewedOn)
  let day = days.has(today) ? today : dateAfter(today, -1)
  let count = 0
  for (; days.has(day); day = dateAfter(day, -1)) count++
  return count
}

/** Nights between a practice and the event: what the forecast calls overnight. */
export const nightsBetween = (from: EpochTime, to: EpochTime): number => Math.max(0, Math.round((to - from) / DAY))

function sum(values: readonly number[]): number {
  let total = 0
  for (const value of values) total += value
  return total
}
