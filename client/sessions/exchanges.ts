import type { ClubReply } from '../../server/sessions/clubWire.ts'
import type { Seconds } from '../../server/units.ts'
import { exchangePause, type PageTime, type ServerClock } from '../playback/serverClock.ts'

const MOST_UNANSWERED = 64

/** Asks the server's time over and over, quickly after every (re)start, and feeds the answers to the clock. */
export class Exchanges {
  private readonly asked = new Map<number, PageTime>()
  private id = 0
  private done = 0
  private first: PageTime = 0
  private session = 0
  private readonly q: {
    clock: ServerClock
    now: () => PageTime
    after: (seconds: Seconds, run: () => void) => void
    send: (message: { type: 't'; id: number }) => void
  }

  constructor(q: Exchanges['q']) {
    this.q = q
  }

  start(): void {
    this.done = 0
    this.first = this.q.now()
    this.asked.clear()
    this.ask(++this.session)
  }

  stop(): void {
    this.session += 1
    this.asked.clear()
  }

  private ask(session: number): void {
    if (session !== this.session) return
    const now = this.q.now()
    if (this.asked.size < MOST_UNANSWERED) {
      this.asked.set(++this.id, now)
      this.q.send({ type: 't', id: this.id })
    }
    this.done += 1
    this.q.after(exchangePause(this.done, Math.max(0, now - this.first)), () => this.ask(session))
  }

  /** `now` was read first thing on receipt. */
  answered(reply: Extract<ClubReply, { type: 't' }>, now: PageTime): void {
    const t1 = this.asked.get(reply.id)
    this.asked.delete(reply.id)
    if (t1 !== undefined) this.q.clock.add({ t1, t2: reply.t2, t3: reply.t3, t4: now })
  }
}
