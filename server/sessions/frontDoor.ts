import type { EpochTime, Seconds } from '../units.ts'
import type { ClubBus, Envelope, RoomReply } from './clubBus.ts'
import {
  CLUB_CLOSE,
  type CloseReason,
  type ClubMessage,
  type ClubReply,
  clubMessageSchema,
  type Role,
} from './clubWire.ts'
import { Flow } from './flow.ts'
import { readCode } from './joinCode.ts'
import { JoinGuard } from './joinGuard.ts'
import { roomOfToken } from './secrets.ts'

/** What a front door asks of a socket. */
export interface DoorSocket {
  send(text: string): void
  /** The close handshake; reading stops. */
  close(code: number, reason: string): void
  readonly unsent: number
}

const MOST_CONNECTIONS = 600
const MOST_WAITING = 32
const MOST_UNSENT = 256 * 1024
const RATE = { rate: 40, burst: 120 }
const JOIN_WITHIN: Seconds = 10
/** Pages exchange times every second; a phone asleep for longer comes back by itself. */
const SILENT_AFTER: Seconds = 120

/** What waits its turn: exchanges of times never do. */
type Asked = Exclude<ClubMessage, { type: 't' }>

interface Connection {
  readonly id: string
  readonly socket: DoorSocket
  readonly address: string
  readonly flow: Flow
  readonly since: EpochTime
  heardAt: EpochTime
  readonly waiting: Asked[]
  busy: boolean
  gone: boolean
  room: string | null
  member: string | null
  role: Role
  leave: (() => void) | null
  /** What the room said while this one was let in. */
  early: Envelope[] | null
}

/** Holds connections, lets in who knows a code, and carries messages both ways. All it knows of rooms it asks over the bus. */
export class FrontDoor {
  private readonly connections = new Map<string, Connection>()
  private readonly guard = new JoinGuard()
  private readonly bus: ClubBus
  private readonly now: () => EpochTime
  private readonly log: (text: string) => void
  private readonly name: string
  private count = 0
  /** Connections closed by reason, since the start. */
  readonly closed: Partial<Record<CloseReason, number>> = {}

  constructor(bus: ClubBus, q: { now: () => EpochTime; log: (text: string) => void; name: string }) {
    this.bus = bus
    this.now = q.now
    this.log = q.log
    this.name = q.name
  }

  get size(): number {
    return this.connections.size
  }

  /** A new connection; what it says goes to `hear`, its end to `end`. */
  connect(socket: DoorSocket, address: string): { hear: (data: string | null) => void; end: () => void } {
    const now = this.now()
    const one: Connection = {
      id: `${this.name}.${++this.count}`,
      socket,
      address,
      flow: new Flow({ ...RATE, now }),
      since: now,
      heardAt: now,
      waiting: [],
      busy: false,
      gone: false,
      room: null,
      member: null,
      role: 'watcher',
      leave: null,
      early: null,
    }
    if (this.connections.size >= MOST_CONNECTIONS) this.close(one, 'full')
    else this.connections.set(one.id, one)
    return { hear: (data) => this.hear(one, data), end: () => this.end(one) }
  }

  private close(one: Connection, why: CloseReason): void {
    if (one.gone) return
    this.closed[why] = (this.closed[why] ?? 0) + 1
    one.socket.close(CLUB_CLOSE[why].code, CLUB_CLOSE[why].reason)
    this.end(one)
  }

  private end(one: Connection): void {
    if (one.gone) return
    one.gone = true
    one.waiting.length = 0
    one.leave?.()
    this.connections.delete(one.id)
    if (one.room !== null && one.member !== null) {
      void this.bus.ask(one.room, { kind: 'left', connection: one.id, member: one.member }).catch(() => {})
    }
  }

  private send(one: Connection, text: string): void {
    if (one.gone) return
    if (one.socket.unsent > MOST_UNSENT) this.close(one, 'tooSlow')
    else one.socket.send(text)
  }

  private hear(one: Connection, data: string | null): void {
    if (one.gone) return
    const now = this.now()
    one.heardAt = now
    if (!one.flow.take(now)) {
      this.close(one, 'flood')
      return
    }
    if (data === null) {
      this.close(one, 'binary')
      return
    }
    const message = decode(data)
    if (message === null) {
      this.close(one, 'badMessage')
      return
    }
    if (message.type === 't') {
      // Ahead of all that waits: a time that stood in a queue is worth nothing.
      this.send(one, JSON.stringify({ type: 't', id: message.id, t2: now, t3: this.now() } satisfies ClubReply))
      return
    }
    if (one.waiting.length >= MOST_WAITING) {
      this.close(one, 'flood')
      return
    }
    one.waiting.push(message)
    if (!one.busy) void this.drain(one)
  }

  /** One message after another; only what takes seconds (a trainer's run being made ready) lets the next pass. */
  private async drain(one: Connection): Promise<void> {
    one.busy = true
    for (let message = one.waiting.shift(); message && !one.gone; message = one.waiting.shift()) {
      const done = this.handle(one, message)
      const slow = message.type === 'do' && (message.act.do === 'run' || message.act.do === 'speed')
      const kept = done.catch((error: unknown) => {
        this.log(`${(error as Error)?.stack ?? error}\n`)
        const id = 'id' in message ? message.id : null
        const why = 'The host could not do this; its own log says more.'
        this.send(one, JSON.stringify({ type: 'refused', id, why } satisfies ClubReply))
      })
      if (!slow) await kept
    }
    one.busy = false
  }

  private async handle(one: Connection, message: Asked): Promise<void> {
    if (message.type === 'join' || message.type === 'resume') {
      if (one.member !== null) return this.close(one, 'badMessage')
      return this.enter(one, message)
    }
    if (one.room === null || one.member === null) return this.close(one, 'badMessage')
    const reply = await this.bus.ask(one.room, { kind: 'say', connection: one.id, member: one.member, message })
    this.take(one, one.room, reply ?? { replies: [], close: 'goodbye' })
  }

  private async enter(one: Connection, message: Extract<ClubMessage, { type: 'join' | 'resume' }>): Promise<void> {
    const wait = this.guard.wait(one.address, this.now())
    const room =
      message.type === 'resume'
        ? roomOfToken(message.token)
        : wait > 0
          ? null
          : await this.bus.find(readCode(message.code))
    if (message.type === 'join' && wait > 0) return this.lockOut(one, wait)
    let reply: RoomReply | null = null
    if (room !== null) {
      // Heard from before the seat is taken, so that nothing said meanwhile is missed: it is passed on behind the welcome.
      one.early = []
      const leave = this.bus.listen(room, (envelope) => this.pass(one, envelope))
      one.leave = leave
      reply =
        message.type === 'join'
          ? await this.bus.ask(room, {
              kind: 'join',
              connection: one.id,
              name: message.name,
              crew: message.crew ?? null,
              role: message.role,
              shown: message.shown,
              key: message.key ?? null,
            })
          : await this.bus.ask(room, { kind: 'resume', connection: one.id, ...message })
      if (!reply?.seat) {
        leave()
        one.leave = null
        one.early = null
      }
    }
    if (message.type === 'join' && (reply === null || reply.wrong)) {
      const next = this.guard.wrong(one.address, this.now())
      if (next > 0) return this.lockOut(one, next)
      const why = reply === null ? 'There is no room with this code; look at the screen again.' : null
      if (why) return this.send(one, JSON.stringify({ type: 'refused', id: null, why } satisfies ClubReply))
    }
    const gone = 'This evening is over, or this seat is gone; join again with the code.'
    this.take(one, room ?? '', reply ?? { replies: [{ type: 'refused', id: null, why: gone }] })
  }

  private lockOut(one: Connection, wait: Seconds): void {
    const why = `Too many wrong codes from here; try again in ${Math.ceil(wait)} s.`
    this.send(one, JSON.stringify({ type: 'refused', id: null, why, wait } satisfies ClubReply))
    this.close(one, 'lockedOut')
  }

  private take(one: Connection, room: string, reply: RoomReply): void {
    for (const message of reply.replies) this.send(one, JSON.stringify(message))
    if (reply.seat && !one.gone) {
      one.room = room
      one.member = reply.seat.member
      one.role = reply.seat.role
      const early = one.early ?? []
      one.early = null
      for (const envelope of early) this.pass(one, envelope)
    }
    if (reply.close) this.close(one, reply.close)
  }

  private pass(one: Connection, envelope: Envelope): void {
    if (one.gone) return
    if (one.member === null) {
      one.early?.push(envelope)
      return
    }
    const { to, text, close } = envelope
    if (typeof to === 'object' ? to.member !== one.member || to.but === one.id : !isFor(to, one.role)) return
    if (text !== null) {
      this.send(one, text)
      if (to === 'all') this.noticeRole(one, text)
    }
    if (close) this.close(one, close)
  }

  /** A trainer who handed over hears what trainers hear no more, and the other from now on. */
  private noticeRole(one: Connection, text: string): void {
    if (!text.includes('"kind":"role"')) return
    const { event } = JSON.parse(text) as Extract<ClubReply, { type: 'event' }>
    if (event.kind === 'role' && event.member === one.member) one.role = event.role
  }

  /** Every second or so: who never joined, and who fell silent. */
  tick(now: EpochTime): void {
    for (const one of this.connections.values()) {
      if (one.member === null && now - one.since > JOIN_WITHIN) this.close(one, 'silent')
      else if (now - one.heardAt > SILENT_AFTER) this.close(one, 'tooSlow')
    }
  }

  stop(): void {
    for (const one of [...this.connections.values()]) this.close(one, 'stopping')
  }
}

function isFor(to: 'all' | 'trainers' | 'screens' | 'phones', role: Role): boolean {
  if (to === 'all') return true
  if (role === 'trainer') return to === 'trainers'
  return role === 'watcher' ? to === 'screens' : to === 'phones'
}

function decode(text: string): ClubMessage | null {
  try {
    const parsed = clubMessageSchema.safeParse(JSON.parse(text))
    return parsed.success ? parsed.data : null
  } catch {
    return null
  }
}
