import type { EpochTime, Seconds, StageTime } from '../units.ts'
import { type ClubPlan, carryOver, type PlanWish } from './clubPlan.ts'
import type { Act, PlanRef } from './clubWire.ts'
import { makeQuiz } from './quiz.ts'
import type { Member } from './room.ts'
import type { RoomHost } from './roomHost.ts'
import { holdFrom, resumeAt, rideFrom } from './runTimeline.ts'
import { positionAt, segmentAt } from './timeline.ts'
import { makeTurns } from './turns.ts'

/** Told to the trainer in one sentence; nothing has changed. */
export class RefusedAct extends Error {
  override readonly name = 'RefusedAct'
}

/** How far ahead events are told: no message of 120,000 simulated came later than 800 ms; a start has its count-in to hide more, another plan must be fetched first. */
export const LEAD: Seconds = 0.8
export const LEAD_START: Seconds = 1.5
export const LEAD_PLAN: Seconds = 3
const DELAYS = 3
const MOST_LEAD: Seconds = 5

/** A moment that everybody hears of in time: at least three round trips of the slowest ahead. */
export function sharedMoment(now: EpochTime, lead: Seconds, slowest: Seconds): EpochTime {
  return (now + Math.min(MOST_LEAD, Math.max(lead, DELAYS * slowest))) as EpochTime
}

const WORDINGS = ['verbose', 'terse'] as const

const refOf = (plan: ClubPlan, label: string): PlanRef => ({ id: plan.id, begins: plan.begins, ends: plan.ends, label })

/** Does what a trainer asks. Rejects with RefusedAct. */
export async function trainerAct(
  host: RoomHost,
  trainer: Member,
  act: Act,
  onProgress: (done: number, total: number) => void,
): Promise<void> {
  const { room, deps } = host
  const { run, timeline } = room.state
  const moment = (lead: Seconds) => sharedMoment(deps.now(), lead, host.slowest())
  const running = () => {
    if (!run || timeline.length === 0) throw new RefusedAct('Nothing has been started yet.')
    return run
  }
  switch (act.do) {
    case 'run':
      return arm(host, act, onProgress)
    case 'start': {
      if (!run) throw new RefusedAct('Choose a stage first, and what is run.')
      // Ridden again it is another run: the board and the taps of the last one stay its own.
      if (timeline.length > 0) host.tell({ kind: 'run', run: { ...run, id: run.id + 1 } })
      const first = run.plans[0]!
      const at = moment(LEAD_START)
      return host.tell(
        {
          kind: 'timeline',
          timeline: rideFrom([], run.plans, { at, pos: first.begins, plan: first.id }),
          why: 'start',
        },
        at,
      )
    }
    case 'pause': {
      running()
      const at = moment(LEAD)
      if (segmentAt(timeline, at)?.rate !== 1) throw new RefusedAct('It is held already.')
      return host.tell({ kind: 'timeline', timeline: holdFrom(timeline, at), why: 'pause' }, at)
    }
    case 'resume': {
      const at = moment(LEAD)
      const now = segmentAt(timeline, at)
      if (!now || now.rate === 1) throw new RefusedAct('It is running already.')
      const plan = deps.shelf.get(now.plan)
      const pos = plan ? resumeAt(plan, now.pos) : now.pos
      return host.tell(
        { kind: 'timeline', timeline: rideFrom(timeline, running().plans, { at, pos, plan: now.plan }), why: 'resume' },
        at,
      )
    }
    case 'seek': {
      const at = moment(LEAD_START)
      const now = segmentAt(timeline, at)
      const ref = running().plans.find((one) => one.id === now?.plan)
      if (!now || !ref) throw new RefusedAct('Nothing has been started yet.')
      const pos = Math.max(ref.begins, Math.min(ref.ends, act.pos)) as StageTime
      const moved = rideFrom(timeline, running().plans, { at, pos, plan: now.plan })
      return host.tell({ kind: 'timeline', timeline: now.rate === 1 ? moved : holdFrom(moved, at), why: 'seek' }, at)
    }
    case 'speed':
      return changeSpeed(host, act.average, onProgress)
    case 'finish': {
      running()
      const at = deps.now()
      const now = segmentAt(timeline, at)
      if (now) host.tell({ kind: 'timeline', timeline: holdFrom(timeline, at), why: 'finish' }, at)
      return host.boardNow()
    }
    case 'floor': {
      if (!run?.turns[act.turn]) throw new RefusedAct('There is no such turn in this run.')
      const member = room.members.get(act.member)
      if (!member) throw new RefusedAct('Nobody of that name is here any more.')
      const turns = run.turns.map((turn, i) =>
        i === act.turn ? { ...turn, member: member.id, name: member.crew ?? member.name } : turn,
      )
      return host.tell({ kind: 'turns', turns })
    }
    case 'lock':
      return host.tell({ kind: 'lock', locked: act.locked })
    case 'kick': {
      const member = room.members.get(act.member)
      if (!member) throw new RefusedAct('Nobody of that name is here any more.')
      if (member.id === trainer.id) throw new RefusedAct('Hand over first; then the other trainer can send you out.')
      host.remove(member.id)
      deps.bus.publish(room.id, { to: { member: member.id }, text: null, close: 'sentOut' })
      return
    }
    case 'hand-over': {
      const member = room.members.get(act.member)
      if (!member) throw new RefusedAct('Nobody of that name is here any more.')
      if (member.id === trainer.id) throw new RefusedAct('You are the trainer already.')
      host.tell({ kind: 'role', member: member.id, role: 'trainer' })
      return host.tell({ kind: 'role', member: trainer.id, role: 'watcher' })
    }
    default:
      act satisfies never
  }
}

/** Readies a run: its plans are made and told, so that phones can fetch the sound before the trainer starts it. */
async function arm(
  host: RoomHost,
  act: Extract<Act, { do: 'run' }>,
  onProgress: (done: number, total: number) => void,
): Promise<void> {
  const { shelf, random } = host.deps
  const { stage, mode, average, wording, from, to } = act
  const wish: PlanWish = { average, wording, from, to }
  const wishes = mode === 'vote' ? WORDINGS.map((one) => ({ ...wish, wording: one })) : [wish]
  const plans: ClubPlan[] = []
  try {
    for (const one of wishes) plans.push(await shelf.prepare(stage, one, onProgress))
  } catch (error) {
    throw new RefusedAct((error as Error).message)
  }
  const plan = plans[0]!
  if (plan.calls.length === 0) throw new RefusedAct('No call lies in the part that was chosen.')
  const readers = host.membersHere('co-driver').map(({ id, name, crew }) => ({ id, name: crew ?? name }))
  const turned = mode === 'turns' || mode === 'relay'
  host.tell({
    kind: 'run',
    run: {
      id: (host.room.state.run?.id ?? 0) + 1,
      mode,
      title: plan.title,
      plans: plans.map((one, i) => refOf(one, mode === 'vote' ? WORDINGS[i]! : (wording ?? 'as noted'))),
      turns: turned ? makeTurns({ calls: plan.calls, readers, marks: act.marks, relay: mode === 'relay' }) : [],
      quiz: mode === 'quiz' ? makeQuiz(plan.calls, random) : [],
      voice: mode === 'listen' || mode === 'vote' || mode === 'quiz',
    },
  })
}

/** Another speed under way: the car stays where it is on the road, the clock moves to the new plan's time of that place. */
async function changeSpeed(
  host: RoomHost,
  average: number,
  onProgress: (done: number, total: number) => void,
): Promise<void> {
  const { shelf, now } = host.deps
  const before = host.room.state.run
  if (!before) throw new RefusedAct('Choose a stage first, and what is run.')
  const held = shelf.get(host.room.state.timeline.at(-1)?.plan ?? before.plans[0]!.id)
  if (!held) throw new RefusedAct('The plan of this run is gone; choose the run again.')
  let next: ClubPlan
  try {
    next = await shelf.prepare(held.stage, { ...held.request, average }, onProgress)
  } catch (error) {
    throw new RefusedAct((error as Error).message)
  }
  const { run, timeline } = host.room.state
  if (run?.id !== before.id) throw new RefusedAct('Another run was chosen meanwhile.')
  const at = sharedMoment(now(), LEAD_PLAN, host.slowest())
  const segment = segmentAt(timeline, at)
  const from = shelf.get(segment?.plan ?? run.plans[0]!.id) ?? held
  const ref = refOf(next, run.plans.find((one) => one.id === from.id)?.label ?? 'as noted')
  if (!segment) return host.tell({ kind: 'run', run: { ...run, id: run.id + 1, plans: [ref, ...run.plans.slice(1)] } })
  const pos = carryOver(from, next, positionAt(timeline, at)!)
  const moved = rideFrom(timeline, [...run.plans, ref], { at, pos, plan: next.id })
  host.tell({ kind: 'plan', plan: ref, timeline: segment.rate === 1 ? moved : holdFrom(moved, at) }, at)
}
