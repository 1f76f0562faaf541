import { choicesFor } from '../drill/choices.ts'
import { withBlanks } from '../drill/gaps.ts'
import { deskLimit } from '../drill/judge.ts'
import { practiceDay } from '../drill/practiceDay.ts'
import { CHECKED_EVERY } from '../drill/question.ts'
import { jumpsOf } from '../drill/rideCosts.ts'
import { fullBudget } from '../drill/session.ts'
import { type LearnDesk, memoryOf } from './learnDesk.ts'
import { DEFAULT_MINUTES } from './learnView.ts'
import { type RideView, rideSchema } from './learnWire.ts'

/** Calls ahead for which choices are made; a page that comes to their end asks again. */
const AHEAD = 40

/**
 * A ride from memory of the plan for this target: where it begins, what is hidden of each call, where its condensed part jumps to, and how many seconds of
 * today are still ridden at full stage time. Calls in the plan's order.
 */
export async function rideView(desk: LearnDesk, stage: string, body: unknown): Promise<RideView> {
  const { target, from, zone } = rideSchema.parse(body)
  if (desk.isEmpty(stage)) return { heard: 0, position: 0, fullLeft: 0, calls: [] }
  const learning = await desk.open(stage)
  const plan = await desk.planOf(stage, target ? { target } : {})
  const ride = desk.ride(stage, practiceDay(desk.now(), desk.zone(stage, zone)))
  const minutes = desk.eventOf(stage)?.minutes ?? DEFAULT_MINUTES
  const gaps = desk.gaps(learning)
  const jumps = jumpsOf(plan.calls)
  const first = from ?? (ride.heard < learning.calls.length ? ride.heard : ride.position)
  const turn = desk.turn()
  return {
    heard: ride.heard,
    position: ride.position,
    fullLeft: Math.max(0, fullBudget(learning.costs, minutes * 60) - ride.fullToday),
    calls: plan.calls.map((call, i) => {
      const memory = memoryOf(learning, learning.calls[call.index]!.id)
      const met = memory ? memory.successes + memory.others : 0
      const gap = gaps[call.index]!
      const ahead = call.index - first
      return {
        call: call.index,
        gap,
        blanked: gap === 'words' ? withBlanks(learning.stage.notes.calls[call.index]!) : null,
        jump: jumps[i]!,
        choices: ahead >= 0 && ahead < AHEAD ? choicesFor(learning.marks, call.index, met).texts : [],
        meaning: learning.marks[call.index]!.key,
        check: met > 0 && (turn + Math.max(0, ahead)) % CHECKED_EVERY === CHECKED_EVERY - 1,
        limits: { typed: deskLimit('typed', call.text), chosen: deskLimit('chosen', call.text) },
      }
    }),
  }
}
