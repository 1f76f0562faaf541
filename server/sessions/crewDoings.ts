import type { EpochTime, Seconds, StageTime } from '../units.ts'
import type { RoomReply } from './clubBus.ts'
import { sameCrew } from './results.ts'
import type { Member } from './room.ts'
import type { RoomHost } from './roomHost.ts'
import { placeTap } from './tapScore.ts'
import { segmentAt } from './timeline.ts'

/** Taps may come this long after they were made, kept by a phone that was out of reach. */
const OLDEST_TAP: Seconds = 900
const FUTURE: Seconds = 0.25

/** Run, plan and stage time that a moment sent by a phone falls in; null when it falls in none. */
function momentOf(host: RoomHost, at: EpochTime): { plan: string; pos: StageTime } | null {
  const now = host.deps.now()
  if (at > now + FUTURE || at < now - OLDEST_TAP) return null
  const segment = segmentAt(host.room.state.timeline, at)
  if (!segment || segment.rate === 0) return null
  return { plan: segment.plan, pos: (segment.pos + (at - segment.at)) as StageTime }
}

/** A tap for "now", scored at once. */
export function tap(host: RoomHost, member: Member, { id, at }: { id: number; at: number }): RoomReply {
  const { run } = host.room.state
  if (host.room.knows(member.id, id)) return { replies: [{ type: 'kept', id }] }
  const moment = run && ['taps', 'relay', 'turns'].includes(run.mode) ? momentOf(host, at as EpochTime) : null
  if (!run || !moment) return { replies: [{ type: 'scored', id, call: null, error: null }] }
  const plan = host.deps.shelf.get(moment.plan)
  if (!plan) return { replies: [{ type: 'scored', id, call: null, error: null }] }
  const mine = new Set(host.room.doing(run.id, member.id).taps.map((one) => one.call))
  let calls = plan.calls
  if (run.mode !== 'taps') {
    const turns = run.turns.filter((one) => one.member !== null && sameCrew(member, host.room.members.get(one.member)))
    calls = calls.filter((call) => turns.some((turn) => call.index >= turn.from && call.index < turn.to))
  }
  const scored = placeTap(calls, mine as Set<number>, moment.pos)
  const { call, error } = scored ?? { call: null, error: null }
  host.commit({ k: 'tap', tap: { run: run.id, member: member.id, id, ...moment, call, error } })
  return { replies: [{ type: 'scored', id, call, error }] }
}

/** An answer to the question that was open then; the first one counts. */
export function answerQuiz(
  host: RoomHost,
  member: Member,
  q: { id: number; call: number; choice: number; at: number },
): RoomReply {
  const { run } = host.room.state
  const kept: RoomReply = { replies: [{ type: 'kept', id: q.id }] }
  const item = run?.mode === 'quiz' ? run.quiz.find((one) => one.call === q.call) : undefined
  const moment = momentOf(host, q.at as EpochTime)
  if (!run || !item || !moment || host.room.knows(member.id, q.id)) return kept
  if (host.room.doing(run.id, member.id).answers.some((one) => one.call === q.call)) return kept
  if (moment.pos < item.opens - FUTURE || moment.pos > item.closes + FUTURE) return kept
  const call = host.deps.shelf.get(moment.plan)?.calls.find((one) => one.index === q.call)
  const right = call !== undefined && item.choices[q.choice] === call.say
  host.commit({ k: 'answer', answer: { run: run.id, member: member.id, id: q.id, call: q.call, right } })
  return kept
}

/** A vote for a wording; the last one counts. */
export function vote(host: RoomHost, member: Member, q: { id: number; choice: 'verbose' | 'terse' }): RoomReply {
  const { run } = host.room.state
  if (run?.mode === 'vote' && !host.room.knows(member.id, q.id)) {
    host.commit({ k: 'vote', run: run.id, member: member.id, id: q.id, choice: q.choice })
  }
  return { replies: [{ type: 'kept', id: q.id }] }
}
