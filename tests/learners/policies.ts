import { type Card, createEmptyCard, fsrs, Rating } from 'ts-fsrs'
import type { Grade, Stretch } from '../../server/drill/drill.ts'
import { planSession, type RideState, ridesEnd } from '../../server/drill/session.ts'
import { IN_TIME } from './learner.ts'
import type { World } from './world.ts'

/** An answer as the recogniser judged it. */
export type OnMeeting = (call: number, at: number, grade: Grade | null) => void

/** Right answers missed and wrong ones accepted by the recogniser (docs/method/learning.md). */
const MISSED = 0.04
const ACCEPTED = 0.02
const LEAD_IN = 5
const ALONE = 9.5

function answer(world: World, call: number, chained: boolean, alone: boolean): Grade {
  const { learner, random } = world
  const right = random() < learner.chance(call, chained)
  const inTime = right && learner.latency(call, chained) <= IN_TIME
  learner.meet(call, right ? 'recalled' : alone ? 'missed alone' : 'missed in a ride', chained)
  const heardRight = right ? random() >= MISSED : random() < ACCEPTED
  return heardRight ? (right && !inTime ? 'late' : 'in time') : 'no'
}

/** Plays stretches from `at` on; returns when they end. */
export function ride(world: World, stretches: readonly Stretch[], at: number, onMeeting?: OnMeeting): number {
  let now = at
  for (const stretch of stretches) {
    for (let call = stretch.from; call < stretch.to; call++) {
      const chained = call > 0 && (call > stretch.from || stretch !== stretches[0])
      if (stretch.way === 'listen') {
        world.learner.meet(call, 'heard', chained)
        onMeeting?.(call, now, null)
      } else {
        const grade = answer(world, call, chained, false)
        onMeeting?.(call, now, grade)
      }
      now += world.costs[stretch.pace][call]!
      world.learner.practise(now)
    }
  }
  return now
}

export const NEW: RideState = { heard: 0, position: 0, fullToday: 0 }

/** Listening front to back, from the beginning each evening, on and on. */
export function listen(world: World, pace: 'full' | 'condensed'): void {
  const costs = world.costs[pace]
  let call = 0
  for (let day = 0; day < world.setting.days; day++) {
    let now = world.eveningOf(day)
    world.learner.rest(now)
    const end = now + world.setting.minutes * 60
    while (now < end) {
      world.learner.meet(call, 'heard', call > 0)
      now += costs[call]!
      world.learner.practise(now)
      call = (call + 1) % world.setting.calls
    }
  }
}

export interface Rides {
  readonly fullShare: number
  /** What of the last evening's seconds is kept for the event morning, given one ride's; absent: nothing. */
  readonly morning?: (whole: number, ride: number) => number
  /** The morning is ridden condensed. */
  readonly morningCut?: boolean
  /** Sittings a day, an hour and a half apart. */
  readonly sittings?: 1 | 2
}

/** Rides from memory, resumed. `fullShare` 1: all at full time; 0: all condensed; 'first ride of a day at full time': Infinity rides' worth as seconds. */
export function rides(
  world: World,
  q: Rides & { firstRideFull?: boolean },
  onMeeting?: OnMeeting,
  onEvening?: (day: number, state: RideState, now: number) => void,
): void {
  const { setting, costs } = world
  const perRide = costs.full.reduce((sum, one) => sum + one, 0)
  let state = NEW
  for (let day = 0; day < setting.days; day++) {
    const whole = setting.minutes * 60
    const last = day === setting.days - 1
    const kept = last && q.morning ? q.morning(whole, perRide) : 0
    const sittings = q.sittings ?? 1
    state = { ...state, fullToday: 0 }
    let now = world.eveningOf(day)
    for (let sitting = 0; sitting < sittings; sitting++) {
      now = Math.max(now, world.eveningOf(day) - (sittings - 1 - sitting) * 8 * 3600)
      if (sitting === 0 && sittings === 2) now = world.eveningOf(day) - 8 * 3600
      world.learner.rest(now)
      const stretches = planSession({
        ...state,
        costs,
        seconds: (whole - kept) / sittings,
        allFull: q.fullShare >= 1,
        fullBudget: q.firstRideFull
          ? perRide
          : q.fullShare >= 1
            ? Number.POSITIVE_INFINITY
            : Math.min(perRide, whole * q.fullShare),
      })
      now = ride(world, stretches, now, onMeeting)
      state = ridesEnd(state, stretches, setting.calls)
    }
    onEvening?.(day, state, now)
    if (kept > 0) {
      const at = world.event - 90 * 60
      world.learner.rest(at)
      const stretches = planSession({
        ...state,
        costs,
        seconds: kept,
        allFull: !q.morningCut,
        fullBudget: 0,
      })
      ride(world, stretches, at, onMeeting)
      state = ridesEnd(state, stretches, setting.calls)
    }
  }
}

const plain = fsrs({ enable_fuzz: false, request_retention: 0.9, learning_steps: ['1m', '10m'] })
const RATING = { 'in time': Rating.Good, late: Rating.Hard, no: Rating.Again } as const

/** Plain ts-fsrs: what is due first, then what is new, then what falls due next. Single places, or neighbours that are due joined into runs. */
export function plainFsrs(world: World, q: { runs: boolean; listenFirst: boolean }): void {
  const { setting, costs, learner } = world
  const n = setting.calls
  const cards: Card[] = Array.from({ length: n }, () => createEmptyCard(new Date(world.eveningOf(0) * 1000)))
  const due = Float64Array.from({ length: n }, () => Number.POSITIVE_INFINITY)
  const met = new Uint8Array(n)
  let fresh = 0
  let toHear = q.listenFirst ? 0 : n
  const review = (call: number, now: number, chained: boolean, alone: boolean) => {
    const grade = answer(world, call, chained, alone)
    cards[call] = plain.next(cards[call]!, new Date(now * 1000), RATING[grade]).card
    due[call] = cards[call]!.due.getTime() / 1000
    met[call] = 1
  }
  for (let day = 0; day < setting.days; day++) {
    let now = world.eveningOf(day)
    learner.rest(now)
    const end = now + setting.minutes * 60
    for (; toHear < n && now < end; toHear++) {
      learner.meet(toHear, 'heard', toHear > 0)
      now += costs.full[toHear]!
      learner.practise(now)
    }
    while (now < end) {
      let first = -1
      let soonest = Number.POSITIVE_INFINITY
      for (let i = 0; i < n; i++) {
        if (due[i]! < soonest) {
          soonest = due[i]!
          first = i
        }
      }
      while (fresh < n && met[fresh]) fresh++
      if (soonest > now && fresh < n) first = fresh
      if (!q.runs) {
        review(first, now, false, true)
        now += ALONE
        learner.practise(now)
        continue
      }
      let call = first
      now += LEAD_IN
      learner.practise(now)
      do {
        review(call, now, call > first, false)
        now += costs.full[call]!
        learner.practise(now)
        call++
      } while (call < n && now < end && (due[call]! <= now || !met[call]))
    }
  }
}
