import { DAY, type RideCosts } from '../../server/drill/drill.ts'
import { seededNormal, seededRandom } from '../seededRandom.ts'
import type { Learner } from './learner.ts'
import { pavlikAnderson } from './pavlikAnderson.ts'
import { predictivePerformance } from './predictivePerformance.ts'

export interface Setting {
  readonly days: number
  readonly minutes: number
  readonly calls: number
}

/** Days × minutes a day × calls (docs/method/learning.md). */
export const SETTINGS: readonly Setting[] = [
  { days: 1, minutes: 45, calls: 150 },
  { days: 2, minutes: 30, calls: 200 },
  { days: 3, minutes: 30, calls: 250 },
  { days: 5, minutes: 20, calls: 250 },
  { days: 5, minutes: 60, calls: 300 },
  { days: 7, minutes: 30, calls: 400 },
  { days: 10, minutes: 15, calls: 300 },
]

export const MODELS = { PA: pavlikAnderson, PPE: predictivePerformance } as const
export type Model = keyof typeof MODELS

/** Condensed rides take this share of the full time (docs/method/learning.md). */
const CONDENSED = 0.7
/** 2026-06-01T20:00Z: the first evening. */
export const FIRST_EVENING = Date.UTC(2026, 5, 1, 20) / 1000

/** One simulated person with a stage before them. */
export interface World {
  readonly setting: Setting
  readonly learner: Learner
  readonly costs: RideCosts
  /** Dice of answers and of the recogniser. */
  readonly random: () => number
  readonly eveningOf: (day: number) => number
  readonly event: number
}

export function makeWorld(model: Model, setting: Setting, seed: number): World {
  const random = seededRandom(seed * 7919 + setting.days * 101 + setting.calls)
  const learner = MODELS[model](setting.calls, random)
  // 1.5 to 8 s, mean about 3 s.
  const full = Array.from({ length: setting.calls }, () =>
    Math.min(8, Math.max(1.5, 2.8 * Math.exp(0.35 * seededNormal(random)))),
  )
  return {
    setting,
    learner,
    costs: { full, condensed: full.map((seconds) => seconds * CONDENSED) },
    random,
    eveningOf: (day) => FIRST_EVENING + day * DAY,
    event: FIRST_EVENING + (setting.days - 1) * DAY + 14 * 3600,
  }
}

/** Share recalled with the call before heard, and of a whole ride unaided and in time, the chain broken by each miss. Percent. */
export function examine(world: World): { known: number; inOrder: number } {
  const { learner, setting } = world
  learner.rest(world.event)
  let [known, inOrder, last] = [0, 0, 1]
  for (let call = 0; call < setting.calls; call++) {
    const chained = learner.chance(call, true)
    known += chained
    const timely = (with_: boolean) => (learner.latency(call, with_) <= 1.8 ? learner.chance(call, with_) : 0)
    const p = last * timely(true) + (1 - last) * timely(false)
    inOrder += p
    last = last * chained + (1 - last) * learner.chance(call, false)
  }
  return { known: (100 * known) / setting.calls, inOrder: (100 * inOrder) / setting.calls }
}
