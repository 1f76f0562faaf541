import type { Metres, StageTime } from '../units.ts'

/** What a room needs of a plan: its calls with their windows, and how to carry a place to another plan. The pages fetch the rest. */
export interface ClubCall {
  readonly index: number
  readonly start: StageTime
  readonly end: StageTime
  readonly earliest: StageTime
  readonly latest: StageTime
  readonly say: string
}

export interface ClubPlan {
  readonly id: string
  readonly title: string
  /** Stage the plan is of: a change of speed plans the same stage anew. */
  readonly stage: string
  readonly request: PlanWish
  /** The stretch of the stage clock that is ridden: count-in and all, to the end of the part asked for. */
  readonly begins: StageTime
  readonly ends: StageTime
  readonly calls: readonly ClubCall[]
  /** Parallel, ascending: where the car is when. */
  readonly profile: { readonly station: readonly Metres[]; readonly time: readonly StageTime[] }
}

export interface PlanWish {
  readonly average?: number | undefined
  readonly wording?: 'verbose' | 'standard' | 'terse' | 'automatic' | undefined
  readonly from?: number | undefined
  readonly to?: number | undefined
}

/** Makes plans ready to be heard, and finds those made before, across a restart too. Rejects with an error whose message is one sentence for the trainer. */
export interface PlanShelf {
  prepare(stage: string, wish: PlanWish, onProgress: (done: number, total: number) => void): Promise<ClubPlan>
  get(id: string): ClubPlan | null
}

/** Linear between the nodes of two ascending tables, held at the ends. Throws RangeError on tables of other lengths. */
export function lookUp(from: readonly number[], to: readonly number[], value: number): number {
  if (from.length !== to.length || from.length === 0)
    throw new RangeError(`lookUp: ${from.length} and ${to.length} nodes`)
  let low = 0
  let high = from.length - 1
  if (value <= from[0]!) return to[0]!
  if (value >= from[high]!) return to[high]!
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (from[middle]! <= value) low = middle
    else high = middle
  }
  const whole = from[high]! - from[low]!
  return whole > 0 ? to[low]! + ((value - from[low]!) / whole) * (to[high]! - to[low]!) : to[low]!
}

/** The same place on the road in another plan's time. Before the line and after the finish the time is kept, counted from there. */
export function carryOver(from: ClubPlan, to: ClubPlan, at: StageTime): StageTime {
  if (at <= 0) return at
  const [last, next] = [from.profile.time.at(-1)!, to.profile.time.at(-1)!]
  if (at >= last) return (next + (at - last)) as StageTime
  return lookUp(to.profile.station, to.profile.time, lookUp(from.profile.time, from.profile.station, at)) as StageTime
}
