import type { EpochTime, Seconds } from '../units.ts'
import { makeBoard } from './board.ts'
import { cleanName, freeName } from './cleanName.ts'
import type { ClubBus, Envelope, RoomReply, RoomRequest } from './clubBus.ts'
import type { PlanShelf } from './clubPlan.ts'
import type { ClubEvent, ClubReply, EventBody, RosterRow } from './clubWire.ts'
import { answerQuiz, tap, vote } from './crewDoings.ts'
import { partsOf, resultsCsv } from './results.ts'
import type { LogEntry, Member, Room } from './room.ts'
import type { RoomLog } from './roomLog.ts'
import { runEnds } from './runTimeline.ts'
import { fingerprint, makeSecret, matches } from './secrets.ts'
import { spreadOf } from './tapScore.ts'
import { positionAt } from './timeline.ts'
import { RefusedAct, trainerAct } from './trainerAct.ts'

export const MOST_MEMBERS = 400
/** After the last call is over, before the board: late taps and answers are on their way. */
const BEFORE_BOARD: Seconds = 1.5
const ROSTER_EVERY: Seconds = 0.5

interface Presence {
  connection: string
  plan: string | null
  exact: boolean
  floor: Seconds
}

export interface HostDeps {
  readonly now: () => EpochTime
  /** Not guessable. */
  readonly random: () => number
  readonly shelf: PlanShelf
  readonly bus: ClubBus
  readonly boot: string
  readonly onEnd: () => void
}

/** Speaks for one room: takes requests from front doors, writes what changes to the log, then tells the room. */
export class RoomHost {
  readonly room: Room
  readonly log: RoomLog
  readonly deps: HostDeps
  private readonly here = new Map<string, Presence>()
  private rosterDirty = true
  private rosterAt: EpochTime = 0
  private trainersTold = -1
  private boardDirty = false

  constructor(room: Room, log: RoomLog, deps: HostDeps) {
    this.room = room
    this.log = log
    this.deps = deps
  }

  /** Written, applied, told: in this order. */
  commit(entry: LogEntry): void {
    this.log.append([entry])
    this.room.apply(entry)
  }

  /** An event for everybody, taking effect at `at`. */
  tell(body: EventBody, at: EpochTime = this.deps.now()): void {
    const event = { ...body, seq: this.room.state.seq + 1, at } as ClubEvent
    this.commit({ k: 'event', event })
    this.say('all', { type: 'event', event })
    this.rosterDirty = true
  }

  say(to: Envelope['to'], message: ClubReply): void {
    this.deps.bus.publish(this.room.id, { to, text: JSON.stringify(message) })
  }

  async answer(request: RoomRequest): Promise<RoomReply> {
    if (this.room.ended) return { replies: [], close: 'goodbye' }
    switch (request.kind) {
      case 'join':
        return this.join(request)
      case 'resume':
        return this.resume(request)
      case 'left':
        if (this.here.get(request.member)?.connection === request.connection) {
          this.here.delete(request.member)
          this.rosterDirty = true
        }
        return { replies: [] }
      case 'say':
        return this.hear(request.member, request.message)
      default:
        request satisfies never
        return { replies: [] }
    }
  }

  private join(q: Extract<RoomRequest, { kind: 'join' }>): RoomReply {
    const { room } = this
    const keyed = q.key !== null && matches(q.key, room.key)
    if (q.key !== null && !keyed)
      return { replies: [refused('This is not the trainer key of this room.')], wrong: true }
    if (q.role === 'trainer' && !keyed)
      return { replies: [refused('A trainer joins with the trainer key; the join code is for crews and watchers.')] }
    if (room.state.locked && !keyed)
      return { replies: [refused('The trainer has locked the room; ask to have it opened.')] }
    if (room.members.size >= MOST_MEMBERS) return { replies: [refused(`The room is full: ${MOST_MEMBERS} seats.`)] }
    const token = `${room.id}.${makeSecret()}`
    const names = [...room.members.values()].map((one) => one.name)
    const crew = q.crew === null ? null : cleanName(q.crew, '')
    const member: Member = {
      id: fingerprint(token).slice(0, 12),
      name: freeName(cleanName(q.name, 'Guest'), names),
      crew: crew === '' ? null : crew,
      role: q.role,
      shown: q.shown,
      token: fingerprint(token),
    }
    this.commit({ k: 'member', member })
    return this.seat(member, token, q.connection, -1)
  }

  private resume(q: Extract<RoomRequest, { kind: 'resume' }>): RoomReply {
    const id = fingerprint(q.token).slice(0, 12)
    const member = this.room.members.get(id)
    if (!member || !matches(q.token, member.token))
      return { replies: [refused('This seat is no longer there; join again with the code.')], wrong: false }
    return this.seat(member, q.token, q.connection, q.seen)
  }

  private seat(member: Member, token: string, connection: string, seen: number): RoomReply {
    const before = this.here.get(member.id)
    if (before && before.connection !== connection) {
      this.deps.bus.publish(this.room.id, {
        to: { member: member.id, but: connection },
        text: null,
        close: 'elsewhere',
      })
    }
    this.here.set(member.id, { connection, plan: null, exact: false, floor: 0 })
    // Who comes while the trainer is away is told so too.
    this.trainersTold = -1
    this.rosterDirty = true
    const { id, name, role } = member
    return {
      seat: { member: id, role },
      replies: [
        {
          type: 'welcome',
          me: { id, name, role, token },
          code: this.room.code,
          boot: this.deps.boot,
          state: this.room.state,
          missed: seen < 0 ? null : this.room.after(seen),
          kept: this.room.keptOf(id),
        },
      ],
    }
  }

  private async hear(id: string, message: Extract<RoomRequest, { kind: 'say' }>['message']): Promise<RoomReply> {
    const member = this.room.members.get(id)
    if (!member) return { replies: [], close: 'sentOut' }
    switch (message.type) {
      case 'missed':
        return {
          replies: [{ type: 'missed', events: this.room.after(message.seen), state: this.room.state }],
        }
      case 'ready': {
        const presence = this.here.get(id)
        if (presence) {
          Object.assign(presence, { plan: message.plan, exact: message.exact, floor: message.floor })
          this.rosterDirty = true
        }
        return { replies: [] }
      }
      case 'tap':
        this.boardDirty = this.rosterDirty = true
        return tap(this, member, message)
      case 'answer':
        this.boardDirty = true
        return answerQuiz(this, member, message)
      case 'vote':
        this.boardDirty = true
        return vote(this, member, message)
      case 'do':
        if (member.role !== 'trainer') return { replies: [refused('Only a trainer does this.', message.id)] }
        try {
          await trainerAct(this, member, message.act, (done, total) =>
            this.say({ member: id }, { type: 'progress', id: message.id, done, total }),
          )
          return { replies: [{ type: 'done', id: message.id }] }
        } catch (error) {
          if (error instanceof RefusedAct) return { replies: [refused(error.message, message.id)] }
          throw error
        }
      default:
        message satisfies never
        return { replies: [] }
    }
  }

  /** Takes a seat away; its token leads nowhere from now on. */
  remove(member: string): void {
    this.commit({ k: 'gone', member })
    this.here.delete(member)
    this.rosterDirty = true
  }

  /** Greatest least delay there and back of those who are here: events are told at least three of it ahead. */
  slowest(): Seconds {
    let most = 0
    for (const one of this.here.values()) most = Math.max(most, one.floor)
    return most
  }

  /** Members here with this role, in the order in which they came. */
  membersHere(role: Member['role']): Member[] {
    return [...this.room.members.values()].filter((one) => one.role === role && this.here.has(one.id))
  }

  /** The board of the run now, from what is in the log. */
  boardNow(): void {
    const { run, timeline } = this.room.state
    const plan = run && this.deps.shelf.get(timeline.at(-1)?.plan ?? run.plans[0]!.id)
    this.boardDirty = false
    if (!run || !plan) return
    const until = positionAt(timeline, this.deps.now()) ?? plan.begins
    this.tell({ kind: 'board', board: makeBoard(run, plan.calls, partsOf(this.room, run, plan, until)) })
  }

  /** Several times a second: the board when a run is over, and who is in when that has changed. */
  tick(now: EpochTime): void {
    const { run, timeline, board } = this.room.state
    if (this.room.ended) return
    if (run && board === null) {
      const ends = runEnds(timeline, run.plans)
      if (ends !== null && now > ends + BEFORE_BOARD) this.boardNow()
    }
    if (now - this.rosterAt < ROSTER_EVERY) return
    if (run && board !== null && this.boardDirty) this.boardNow()
    if (this.rosterDirty) this.tellRoster(now)
  }

  private tellRoster(now: EpochTime): void {
    this.rosterAt = now
    this.rosterDirty = false
    const { run, timeline } = this.room.state
    const plan = timeline.at(-1)?.plan ?? run?.plans[0]?.id ?? null
    const full: RosterRow[] = []
    let trainers = 0
    for (const { id, name, crew, role } of this.room.members.values()) {
      const presence = this.here.get(id)
      if (role === 'trainer' && presence) trainers += 1
      const errors = (run ? (this.room.doings.get(run.id)?.get(id)?.taps ?? []) : []).flatMap((one) => one.error ?? [])
      const ready = presence !== undefined && (plan === null || presence.plan === plan)
      const row = { id, name, crew, role, here: presence !== undefined, ready }
      full.push({ ...row, exact: presence?.exact ?? false, taps: errors.length, mean: spreadOf(errors).mean })
    }
    const bare = full.map(({ id, name, crew, role, here, ready }) => ({ id, name, crew, role, here, ready }))
    const { unsaved } = this.log
    this.say('trainers', { type: 'roster', members: full, trainers, unsaved })
    this.say('screens', { type: 'roster', members: bare, trainers, unsaved: false })
    if (trainers > 0 !== this.trainersTold > 0 || this.trainersTold < 0) {
      this.say('phones', { type: 'roster', members: [], trainers, unsaved: false })
    }
    this.trainersTold = trainers
  }

  /** Everyone is told; then nothing of the evening is left, unless it is kept. */
  end(keep: boolean): void {
    this.tell({ kind: 'end' })
    this.deps.bus.publish(this.room.id, { to: 'all', text: null, close: 'goodbye' })
    this.log.end(keep ? resultsCsv(this.room, (id) => this.deps.shelf.get(id), null) : null)
    this.deps.onEnd()
  }
}

export const refused = (why: string, id: number | null = null): ClubReply => ({ type: 'refused', id, why })
