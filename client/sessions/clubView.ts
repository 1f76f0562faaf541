import type { ClubEvent, PlanRef, QuizItem, RoomState, Segment, Turn } from '../../server/sessions/clubWire.ts'
import type { EpochTime, StageTime } from '../../server/units.ts'

export const EMPTY_ROOM: RoomState = { title: '', seq: 0, locked: false, run: null, timeline: [], board: null }

/** The room after an event. Events come in order; the link sees to that. */
export function afterEvent(state: RoomState, event: ClubEvent): RoomState {
  const next = { ...state, seq: event.seq }
  switch (event.kind) {
    case 'run':
      return { ...next, run: event.run, timeline: [], board: null }
    case 'timeline':
      return { ...next, timeline: event.timeline }
    case 'plan':
      if (!next.run) return next
      return { ...next, run: { ...next.run, plans: [...next.run.plans, event.plan] }, timeline: event.timeline }
    case 'turns':
      return next.run ? { ...next, run: { ...next.run, turns: event.turns } } : next
    case 'board':
      return { ...next, board: event.board }
    case 'lock':
      return { ...next, locked: event.locked }
    case 'role':
    case 'end':
      return next
    default:
      event satisfies never
      return next
  }
}

/** Where the run is at a moment of the server's clock. Before its first segment it stands at that segment's beginning. */
export interface Moment {
  readonly segment: Segment
  readonly pos: StageTime
  readonly plan: PlanRef
  /** Seconds until it begins to run; 0 once it has. */
  readonly waits: number
}

/** null while nothing has been started. */
export function momentAt(state: Pick<RoomState, 'timeline' | 'run'>, t: EpochTime): Moment | null {
  const { timeline, run } = state
  const first = timeline[0]
  if (!run || !first) return null
  let segment = first
  for (const one of timeline) if (one.at <= t) segment = one
  const plan = run.plans.findLast((one) => one.id === segment.plan)
  if (!plan) return null
  const waits = Math.max(0, segment.at - t)
  const pos = waits > 0 ? segment.pos : segment.pos + segment.rate * (t - segment.at)
  return { segment, pos: Math.min(pos, plan.ends) as StageTime, plan, waits }
}

/** Whose turn it is at a call, and who comes after. */
export function turnAt(turns: readonly Turn[], call: number): { now: Turn | null; next: Turn | null } {
  const at = turns.findIndex((turn) => call >= turn.from && call < turn.to)
  return { now: turns[at] ?? null, next: at < 0 ? null : (turns[at + 1] ?? null) }
}

/** The question open at a stage time, or null. */
export function questionAt(quiz: readonly QuizItem[], pos: StageTime): QuizItem | null {
  return quiz.find((item) => pos >= item.opens && pos < item.closes) ?? null
}

/** Position of the call said last at a stage time; −1 before the first. `calls` sorted by start. */
export function callAt(calls: readonly { readonly start: StageTime }[], pos: StageTime): number {
  let low = 0
  let high = calls.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (calls[middle]!.start <= pos) low = middle + 1
    else high = middle
  }
  return low - 1
}
