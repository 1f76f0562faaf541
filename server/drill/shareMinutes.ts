import type { Seconds } from '../units.ts'

export interface StageNeed {
  readonly stage: string
  readonly calls: number
  /** Share known by the day, 0…1; null while it is too early to say. */
  readonly forecast: number | null
  /** Seconds of one whole condensed ride. */
  readonly ride: Seconds
  /** Days since it was last practised; null when never. */
  readonly rested: number | null
  /** Place in the order of recce or of the event, for ties. */
  readonly order: number
}

export interface Sitting {
  readonly stage: string
  readonly seconds: Seconds
}

/** A stage unknown to us counts as mostly unlearnt. */
const UNKNOWN = 0.3
/** A stage rests for one day at most, so that each is ridden every two days. */
const RESTS = 1
/** A sitting shorter than this teaches nothing: it goes to the next stage in turn. */
const LEAST: Seconds = 120

/**
 * A day's seconds among the stages of an event, one stage a sitting, neediest first. Shares go by calls × (1 − forecast); a stage that has rested RESTS days
 * gets one whole ride first where the time allows. Sums to `seconds` unless there is no call at all.
 */
export function shareMinutes(stages: readonly StageNeed[], seconds: Seconds): Sitting[] {
  if (!(seconds >= 0)) throw new RangeError(`shareMinutes: seconds must be >= 0, got ${seconds}`)
  const open = stages.filter((one) => one.calls > 0)
  if (open.length === 0 || seconds === 0) return []
  const need = (one: StageNeed) => one.calls * Math.max(0.02, 1 - (one.forecast ?? UNKNOWN))
  const order = [...open].sort((a, b) => due(b) - due(a) || need(b) - need(a) || a.order - b.order)
  const given = new Map(order.map((one) => [one.stage, 0]))
  let left = seconds
  for (const one of order) {
    if (due(one) === 0) continue
    const ride = Math.min(one.ride, left)
    given.set(one.stage, ride)
    left -= ride
  }
  const total = order.reduce((sum, one) => sum + need(one), 0)
  for (const one of order) given.set(one.stage, given.get(one.stage)! + (left * need(one)) / total)
  // Crumbs are swept to the neediest, so that every sitting is worth sitting down for.
  const first = order[0]!.stage
  for (const one of order.slice(1)) {
    const part = given.get(one.stage)!
    if (part >= Math.min(LEAST, one.ride)) continue
    given.set(first, given.get(first)! + part)
    given.set(one.stage, 0)
  }
  return order.flatMap((one) =>
    given.get(one.stage)! > 0 ? [{ stage: one.stage, seconds: given.get(one.stage)! }] : [],
  )
}

/**
 * The same for so many days from today on: what each stage gets on each, as far as it can be told now. Forecasts stay as they are; a stage that was sat down
 * for rests, one that was not is due in its turn.
 */
export function sharesByDay(stages: readonly StageNeed[], seconds: Seconds, days: number): Map<string, Seconds>[] {
  let now = stages
  return Array.from({ length: days }, () => {
    const given = new Map(shareMinutes(now, seconds).map((one) => [one.stage, one.seconds]))
    now = now.map((one) => ({ ...one, rested: given.has(one.stage) ? 1 : one.rested === null ? null : one.rested + 1 }))
    return given
  })
}

const due = (one: StageNeed) => (one.rested === null || one.rested > RESTS ? 1 : 0)
