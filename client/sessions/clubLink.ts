import type { ClubEvent, ClubMessage, ClubReply, Role, RoomState } from '../../server/sessions/clubWire.ts'
import type { EpochTime, Seconds } from '../../server/units.ts'
import { type PageTime, ServerClock } from '../playback/serverClock.ts'
import { afterEvent, EMPTY_ROOM } from './clubView.ts'
import { Exchanges } from './exchanges.ts'

/** What the link needs of a socket and of the page; tests and the load script bring their own. */
export interface LinkSocket {
  send(text: string): void
  close(): void
  onopen: (() => void) | null
  onmessage: ((text: string) => void) | null
  onclose: ((code: number, reason: string) => void) | null
}

export interface LinkDeps {
  readonly connect: () => LinkSocket
  readonly now: () => PageTime
  /** The wall clock: goes on while the page sleeps. */
  readonly wall: () => EpochTime
  readonly after: (seconds: Seconds, run: () => void) => () => void
  readonly random: () => number
}

export type Credentials =
  | {
      readonly kind: 'join'
      readonly code: string
      readonly name: string
      readonly crew?: string
      readonly role: Role
      readonly shown: boolean
      readonly key?: string
    }
  | { readonly kind: 'resume'; readonly token: string }

export type LinkStatus = 'joining' | 'in' | 'away' | 'refused' | 'over'
/** A tap, an answer or a vote, kept until the host says it is safe. */
type Doing = Extract<ClubMessage, { type: 'tap' | 'answer' | 'vote' }>
type Without<T> = T extends unknown ? Omit<T, 'id'> : never

/** Waits before coming back, growing, each times a random 0.5 to 1.5. */
const WAIT = { first: 0.15, growth: 1.6, most: 0.6 }
/** A gap in the page's own ticking longer than this is sleep. */
const ASLEEP: Seconds = 3
/** No answer for so long: the connection is dead, whatever the system says. */
const DEAF: Seconds = 12
const TICK: Seconds = 0.5
/** Closed with one of these, coming back by itself would be no use. */
const FINAL = new Set([1000, 4003, 4004, 4006])

/**
 * A page's connection to its room: joins, keeps the server's clock, applies events in order and each once, comes back after a break with what was missed, and
 * sends again what the host has not called safe. Nothing here reads a clock of its own.
 */
export class ClubLink {
  readonly clock = new ServerClock()
  room: RoomState = EMPTY_ROOM
  me: { id: string; name: string; role: Role; token: string } | null = null
  code = ''
  roster: Extract<ClubReply, { type: 'roster' }> | null = null
  status: LinkStatus = 'joining'
  /** Why it was refused or is over, in words. */
  why = ''
  /** Timeline events that came after they should have been heard. */
  late = 0
  private boot = ''
  private socket: LinkSocket | null = null
  private readonly exchanges: Exchanges
  private tries = 0
  private nextId: number
  private readonly outbox = new Map<number, Doing>()
  private readonly acts = new Map<number, (why: string | null) => void>()
  private readonly listeners = new Set<() => void>()
  private ticked: { page: PageTime; wall: EpochTime }
  private heard: PageTime
  private readonly cancels = new Set<() => void>()
  private stopped = false
  private readonly deps: LinkDeps
  private credentials: Credentials
  onScored: (scored: Extract<ClubReply, { type: 'scored' }>) => void = () => {}
  onProgress: (done: number, total: number) => void = () => {}
  onEvent: (event: ClubEvent) => void = () => {}

  constructor(deps: LinkDeps, credentials: Credentials) {
    this.deps = deps
    this.credentials = credentials
    this.ticked = { page: deps.now(), wall: deps.wall() }
    this.heard = deps.now()
    // Ids of taps stay unique across reloads of the page: they begin at the tenth of a second of the day.
    this.nextId = Math.floor((deps.wall() * 10) % 864_000) * 1000
    this.exchanges = new Exchanges({
      clock: this.clock,
      now: deps.now,
      after: (seconds, run) => this.later(seconds, run),
      send: (message) => this.send(message),
    })
    this.open()
    this.every(TICK, () => this.tick())
  }

  subscribe(listener: () => void): () => void {
    this.listeners.add(listener)
    return () => void this.listeners.delete(listener)
  }

  private changed(): void {
    for (const listener of this.listeners) listener()
  }

  private later(seconds: Seconds, run: () => void): void {
    const cancel = this.deps.after(seconds, () => {
      this.cancels.delete(cancel)
      if (!this.stopped) run()
    })
    this.cancels.add(cancel)
  }

  private every(seconds: Seconds, run: () => void): void {
    this.later(seconds, () => {
      run()
      this.every(seconds, run)
    })
  }

  private open(): void {
    const socket = this.deps.connect()
    this.socket = socket
    this.heard = this.deps.now()
    socket.onopen = () => {
      this.heard = this.deps.now()
      const seen = this.me ? this.room.seq : 0
      if (this.credentials.kind === 'resume') {
        this.send({ type: 'resume', token: this.credentials.token, boot: this.boot, seen })
      } else {
        const { kind: _kind, ...join } = this.credentials
        this.send({ type: 'join', ...join })
      }
      this.exchanges.start()
    }
    socket.onmessage = (text) => {
      const now = this.deps.now()
      if (socket === this.socket) this.hear(JSON.parse(text) as ClubReply, now)
    }
    socket.onclose = (code, reason) => {
      if (socket === this.socket) this.lost(code, reason)
    }
  }

  private lost(code: number, reason: string): void {
    this.socket = null
    this.exchanges.stop()
    for (const resolve of this.acts.values()) resolve('The connection broke; try again if nothing happened.')
    this.acts.clear()
    if (this.stopped || this.status === 'refused' || this.status === 'over') return
    if (FINAL.has(code)) {
      this.status = 'over'
      this.why = reason
    } else {
      this.status = this.me ? 'away' : 'joining'
      const wait = Math.min(WAIT.most, WAIT.first * WAIT.growth ** this.tries++) * (0.5 + this.deps.random())
      this.later(wait, () => this.socket ?? this.open())
    }
    this.changed()
  }

  private send(message: ClubMessage): void {
    this.socket?.send(JSON.stringify(message))
  }

  private hear(reply: ClubReply, now: PageTime): void {
    this.heard = now
    switch (reply.type) {
      case 't':
        this.exchanges.answered(reply, now)
        return
      case 'welcome':
        this.welcome(reply)
        return
      case 'event':
        this.take([reply.event])
        break
      case 'missed':
        if (reply.events) this.take(reply.events)
        else this.room = reply.state
        break
      case 'scored':
        this.outbox.delete(reply.id)
        this.onScored(reply)
        break
      case 'kept':
        this.outbox.delete(reply.id)
        break
      case 'roster':
        this.roster = reply
        break
      case 'progress':
        this.onProgress(reply.done, reply.total)
        break
      case 'done':
        this.acts.get(reply.id)?.(null)
        break
      case 'refused':
        if (reply.id !== null) this.acts.get(reply.id)?.(reply.why)
        else this.refused(reply.why)
        break
      default:
        reply satisfies never
    }
    this.changed()
  }

  private refused(why: string): void {
    this.status = 'refused'
    this.why = why
    this.stop()
  }

  private welcome(reply: Extract<ClubReply, { type: 'welcome' }>): void {
    const before = this.me !== null
    this.me = reply.me
    this.code = reply.code
    this.boot = reply.boot
    this.credentials = { kind: 'resume', token: reply.me.token }
    this.status = 'in'
    this.tries = 0
    // Known events are applied one by one, so that what they ask for is done once; else the state stands in for all of them.
    if (before && reply.missed) this.take(reply.missed)
    else this.room = reply.state
    const kept = new Set(reply.kept)
    for (const [id, doing] of this.outbox) {
      if (kept.has(id)) this.outbox.delete(id)
      else this.send(doing)
    }
    this.changed()
  }

  private take(events: readonly ClubEvent[]): void {
    for (const event of events) {
      if (event.seq <= this.room.seq) continue
      if (event.seq > this.room.seq + 1) {
        // A hole is never stepped over: what is in it is asked for.
        this.send({ type: 'missed', seen: this.room.seq })
        return
      }
      this.room = afterEvent(this.room, event)
      if (event.kind === 'role' && this.me?.id === event.member) this.me = { ...this.me, role: event.role }
      if (event.kind === 'timeline' && this.clock.usable && this.serverNow() > event.at && event.why !== 'finish')
        this.late += 1
      this.onEvent(event)
    }
  }

  private tick(): void {
    const [page, wall] = [this.deps.now(), this.deps.wall()]
    const jump = wall - this.ticked.wall - (page - this.ticked.page)
    if (wall - this.ticked.wall > ASLEEP) this.wake(jump)
    else if (this.socket && page - this.heard > DEAF) this.breakOff()
    this.ticked = { page, wall }
  }

  /** Called by the page when it is shown again, and by the tick after a gap: the clock is carried over, then held against new exchanges. */
  wake(jump: Seconds = 0): void {
    this.ticked = { page: this.deps.now(), wall: this.deps.wall() }
    if (Math.abs(jump) > 0.005) this.clock.woke(jump)
    this.heard = this.deps.now()
    if (this.socket && this.status === 'in') this.exchanges.start()
    this.changed()
  }

  /** Ends a connection that no longer answers, or of which the system says so; the next is opened at once. */
  breakOff(): void {
    const socket = this.socket
    this.lost(1006, 'no answer')
    socket?.close()
  }

  /** The server's time now. */
  serverNow(): EpochTime {
    return this.clock.serverAt(this.deps.now())
  }

  /** Says something that must not be lost: it is sent again until it is safe. Returns its id. */
  do(doing: Without<Doing>): number {
    const id = this.nextId++
    const full = { ...doing, id } as Doing
    this.outbox.set(id, full)
    if (this.status === 'in') this.send(full)
    return id
  }

  /** Asks for something a trainer may do; resolves with null, or why not. */
  act(act: Extract<ClubMessage, { type: 'do' }>['act']): Promise<string | null> {
    if (this.status !== 'in') return Promise.resolve('There is no connection to the host just now.')
    const id = this.nextId++
    return new Promise((resolve) => {
      this.acts.set(id, (why) => {
        this.acts.delete(id)
        resolve(why)
      })
      this.send({ type: 'do', id, act })
    })
  }

  /** Tells the host what this page has ready. */
  ready(plan: string | null): void {
    if (this.status !== 'in' || !this.clock.usable) return
    this.send({ type: 'ready', plan, floor: Math.min(60, this.clock.floorSum), exact: this.clock.exact })
  }

  get unsafe(): number {
    return this.outbox.size
  }

  stop(): void {
    this.stopped = true
    for (const cancel of this.cancels) cancel()
    this.socket?.close()
  }
}
