import type { EpochTime, Seconds, StageTime } from '../units.ts'
import type { ClubPlan } from './clubPlan.ts'
import type { PlanRef, Segment } from './clubWire.ts'
import { segmentAt, withSegment } from './timeline.ts'

/** Breath between two wordings heard one after the other. */
const BETWEEN: Seconds = 2.5
/** Before a call that a pause has cut, so that it is heard from its beginning. */
const BEFORE_CUT: Seconds = 0.3

/** Ready to ride: stage clock at `pos` of `plan` from `at` on, and every plan of the run after it in turn. */
export function rideFrom(
  timeline: readonly Segment[],
  plans: readonly PlanRef[],
  from: { at: EpochTime; pos: StageTime; plan: string },
): Segment[] {
  const first = plans.findLastIndex((one) => one.id === from.plan)
  if (first < 0) throw new RangeError(`rideFrom: no plan ${from.plan} in this run`)
  let next = withSegment(timeline, { ...from, rate: 1 })
  let ends = from.at + (plans[first]!.ends - from.pos)
  for (const plan of following(plans, first)) {
    const at = (ends + BETWEEN) as EpochTime
    next = withSegment(next, { at, pos: plan.begins, rate: 1, plan: plan.id })
    ends = at + (plan.ends - plan.begins)
  }
  return next
}

/** Plans still to be heard after position `at`: those of another label. A change of speed adds a plan of the same label, which takes the place of the one before. */
function following(plans: readonly PlanRef[], at: number): PlanRef[] {
  const heard = new Set(plans.slice(0, at + 1).map((one) => one.label))
  const latest = new Map(plans.slice(at + 1).map((one) => [one.label, one]))
  return [...latest.values()].filter((one) => !heard.has(one.label))
}

/** Everything stands still from `at` on, where it is then. */
export function holdFrom(timeline: readonly Segment[], at: EpochTime): Segment[] {
  const now = segmentAt(timeline, at)
  if (!now) throw new RangeError('holdFrom: nothing runs')
  return withSegment(timeline, { at, pos: (now.pos + now.rate * (at - now.at)) as StageTime, rate: 0, plan: now.plan })
}

/** Where to go on after a pause at `pos`: before the beginning of a call that was cut off. */
export function resumeAt(plan: ClubPlan, pos: StageTime): StageTime {
  const cut = plan.calls.find((call) => call.start < pos && call.end > pos)
  return (cut ? Math.min(pos, cut.start - BEFORE_CUT) : pos) as StageTime
}

/** When the last plan of the run is over, in server time; null while it is held or has not begun. */
export function runEnds(timeline: readonly Segment[], plans: readonly PlanRef[]): EpochTime | null {
  const last = timeline.at(-1)
  const plan = last && plans.findLast((one) => one.id === last.plan)
  if (!last || !plan || last.rate === 0) return null
  return (last.at + (plan.ends - last.pos)) as EpochTime
}
