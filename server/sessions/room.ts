import type { EpochTime, Seconds, StageTime } from '../units.ts'
import type { ClubEvent, Role, RoomState } from './clubWire.ts'

/** Events kept for those who come back; who was away longer takes the state. */
export const KEPT_EVENTS = 500

export interface Member {
  readonly id: string
  readonly name: string
  readonly crew: string | null
  readonly role: Role
  readonly shown: boolean
  /** SHA-256 of the token this seat is resumed with: the token itself is only on the phone. */
  readonly token: string
}

/** A tap kept: on which plan, at what stage time, and for which call. */
export interface Tap {
  readonly run: number
  readonly member: string
  readonly id: number
  readonly plan: string
  readonly pos: StageTime
  readonly call: number | null
  readonly error: Seconds | null
}

export interface Answer {
  readonly run: number
  readonly member: string
  readonly id: number
  readonly call: number
  readonly right: boolean
}

/** One line of a room's log: all that ever changes a room, in order. */
export type LogEntry =
  | {
      readonly k: 'room'
      readonly id: string
      readonly code: string
      readonly title: string
      readonly key: string
      readonly since: EpochTime
    }
  | { readonly k: 'member'; readonly member: Member }
  | { readonly k: 'gone'; readonly member: string }
  | { readonly k: 'event'; readonly event: ClubEvent }
  | { readonly k: 'tap'; readonly tap: Tap }
  | { readonly k: 'answer'; readonly answer: Answer }
  | {
      readonly k: 'vote'
      readonly run: number
      readonly member: string
      readonly id: number
      readonly choice: 'verbose' | 'terse'
    }

/** What a member did in one run. */
export interface Doings {
  readonly taps: Tap[]
  readonly answers: Answer[]
  vote: 'verbose' | 'terse' | null
}

/**
 * A club evening as its log says it is. Nothing but `apply` changes it, so that a room read back after a crash is the room that was: entries are written
 * before they are applied, and applied before they are told.
 */
export class Room {
  readonly id: string
  readonly code: string
  readonly key: string
  readonly since: EpochTime
  readonly members = new Map<string, Member>()
  readonly events: ClubEvent[] = []
  /** By run, then by member. */
  readonly doings = new Map<number, Map<string, Doings>>()
  /** Titles and plans of runs past, for the results. */
  readonly runs = new Map<number, { readonly title: string; readonly mode: string; plans: string[] }>()
  private now: RoomState
  private readonly ids = new Map<string, Set<number>>()
  ended = false

  constructor(first: Extract<LogEntry, { k: 'room' }>) {
    this.id = first.id
    this.code = first.code
    this.key = first.key
    this.since = first.since
    this.now = { title: first.title, seq: 0, locked: false, run: null, timeline: [], board: null }
  }

  get state(): RoomState {
    return this.now
  }

  /** Applies an entry of the log. Throws RangeError when an event is out of order: a log with a hole must not be read on. */
  apply(entry: LogEntry): void {
    switch (entry.k) {
      case 'room':
        throw new RangeError(`Room: a second beginning in the log of ${this.id}`)
      case 'member':
        this.members.set(entry.member.id, entry.member)
        return
      case 'gone':
        this.members.delete(entry.member)
        return
      case 'event':
        this.applyEvent(entry.event)
        return
      case 'tap':
        this.doing(entry.tap.run, entry.tap.member).taps.push(entry.tap)
        this.remember(entry.tap.member, entry.tap.id)
        return
      case 'answer':
        this.doing(entry.answer.run, entry.answer.member).answers.push(entry.answer)
        this.remember(entry.answer.member, entry.answer.id)
        return
      case 'vote':
        this.doing(entry.run, entry.member).vote = entry.choice
        this.remember(entry.member, entry.id)
        return
      default:
        entry satisfies never
    }
  }

  private applyEvent(event: ClubEvent): void {
    if (event.seq !== this.now.seq + 1) throw new RangeError(`Room: event ${event.seq} after ${this.now.seq}`)
    this.events.push(event)
    if (this.events.length > KEPT_EVENTS) this.events.shift()
    this.now = { ...this.now, seq: event.seq }
    const { run } = this.now
    switch (event.kind) {
      case 'run':
        this.now = { ...this.now, run: event.run, timeline: [], board: null }
        this.runs.set(event.run.id, {
          title: event.run.title,
          mode: event.run.mode,
          plans: event.run.plans.map((one) => one.id),
        })
        return
      case 'timeline':
        this.now = { ...this.now, timeline: event.timeline }
        return
      case 'plan':
        if (run) {
          this.now = { ...this.now, run: { ...run, plans: [...run.plans, event.plan] }, timeline: event.timeline }
          this.runs.get(run.id)!.plans.push(event.plan.id)
        }
        return
      case 'turns':
        if (run) this.now = { ...this.now, run: { ...run, turns: event.turns } }
        return
      case 'board':
        this.now = { ...this.now, board: event.board }
        return
      case 'lock':
        this.now = { ...this.now, locked: event.locked }
        return
      case 'role': {
        const member = this.members.get(event.member)
        if (member) this.members.set(member.id, { ...member, role: event.role })
        return
      }
      case 'end':
        this.ended = true
        return
      default:
        event satisfies never
    }
  }

  doing(run: number, member: string): Doings {
    let all = this.doings.get(run)
    if (!all) this.doings.set(run, (all = new Map()))
    let one = all.get(member)
    if (!one) all.set(member, (one = { taps: [], answers: [], vote: null }))
    return one
  }

  private remember(member: string, id: number): void {
    let known = this.ids.get(member)
    if (!known) this.ids.set(member, (known = new Set()))
    known.add(id)
  }

  /** Whether this tap, answer or vote is in the log already: sent again after a break, it counts once. */
  knows(member: string, id: number): boolean {
    return this.ids.get(member)?.has(id) ?? false
  }

  /** Ids of a member's taps, answers and votes kept so far, newest 500. */
  keptOf(member: string): number[] {
    return [...(this.ids.get(member) ?? [])].slice(-KEPT_EVENTS)
  }

  /** Events after `seen`, or null when some are no longer kept, or `seen` was never reached. */
  after(seen: number): ClubEvent[] | null {
    if (seen > this.now.seq) return null
    if (seen === this.now.seq) return []
    const first = this.events[0]!.seq
    return seen + 1 < first ? null : this.events.slice(seen + 1 - first)
  }
}
