import type { ClubPlanDocument } from '../../server/api/wire.ts'
import type { EpochTime, StageTime } from '../../server/units.ts'
import { AudioClock } from '../playback/audioClock.ts'
import { epochNow, pageNow } from '../playback/clocks.ts'
import type { TimedCall } from '../playback/scheduleCalls.ts'
import { type SoundCard, webSoundCard } from '../playback/soundCard.ts'
import { ClubLink, type Credentials, type LinkSocket } from './clubLink.ts'
import { AHEAD_HIDDEN, ClubSound } from './clubSound.ts'
import { type Moment, momentAt } from './clubView.ts'

const WAKE_MS = 100
const READING_MS = 1000
const CLAP = 'say-when.clap'

function browserSocket(): LinkSocket {
  const socket = new WebSocket(`${location.protocol === 'https:' ? 'wss' : 'ws'}://${location.host}/club`)
  const link: LinkSocket = {
    send: (text) => socket.readyState === WebSocket.OPEN && socket.send(text),
    close: () => socket.close(),
    onopen: null,
    onmessage: null,
    onclose: null,
  }
  socket.onopen = () => link.onopen?.()
  socket.onmessage = (event) => link.onmessage?.(String(event.data))
  socket.onclose = (event) => link.onclose?.(event.code, event.reason)
  return link
}

/** A page in a room: link, clocks, plans fetched, sound. One for the life of the page. */
export class ClubSession {
  readonly link: ClubLink
  readonly sound: ClubSound
  readonly audio = new AudioClock()
  readonly card: SoundCard
  readonly plans = new Map<string, ClubPlanDocument>()
  /** Plans whose first sound is here. */
  private readonly prepared = new Set<string>()
  private readonly fetching = new Set<string>()
  private readonly timers: ReturnType<typeof setInterval>[] = []
  private readonly listeners = new Set<() => void>()
  readonly loud: boolean

  constructor(credentials: Credentials, loud: boolean) {
    this.loud = loud
    this.card = webSoundCard()
    this.link = new ClubLink(
      {
        connect: browserSocket,
        now: pageNow,
        wall: epochNow,
        after: (seconds, run) => {
          const timer = setTimeout(run, seconds * 1000)
          return () => clearTimeout(timer)
        },
        random: Math.random,
      },
      credentials,
    )
    this.sound = new ClubSound({
      card: this.card,
      clock: this.link.clock,
      audio: this.audio,
      calls: (plan): readonly TimedCall[] | null => this.plans.get(plan)?.plan.calls ?? null,
      pageNow,
    })
    this.sound.muted = !loud
    this.sound.clap = Number(localStorage.getItem(CLAP) ?? 0) / 1000 || 0
    this.link.subscribe(() => this.fetchPlans())
    this.timers.push(
      setInterval(() => this.wake(), WAKE_MS),
      setInterval(() => this.read(), READING_MS),
    )
    document.addEventListener('visibilitychange', this.shown)
    addEventListener('pageshow', this.shown)
    addEventListener('online', this.networked)
    void this.card.resume()
  }

  private readonly shown = () => {
    if (document.hidden) return
    this.link.wake()
    void this.card.resume()
  }

  /** Another network: what was open on the last one is dead, though nothing says so. */
  private readonly networked = () => this.link.breakOff()

  subscribe(listener: () => void): () => void {
    this.listeners.add(listener)
    const leave = this.link.subscribe(listener)
    return () => {
      leave()
      this.listeners.delete(listener)
    }
  }

  private wake(): void {
    if (this.link.status === 'in' || this.link.status === 'away') {
      this.sound.wake(this.link.room, document.hidden ? AHEAD_HIDDEN : undefined)
    }
  }

  private read(): void {
    const reading = this.card.reading?.()
    if (reading) this.audio.add(reading)
    const plan = this.moment()?.plan.id ?? this.link.room.run?.plans[0]?.id ?? null
    this.link.ready(plan !== null && this.prepared.has(plan) && (!this.loud || this.audio.ready) ? plan : null)
  }

  private fetchPlans(): void {
    for (const { id, begins } of this.link.room.run?.plans ?? []) {
      if (this.plans.has(id) || this.fetching.has(id)) continue
      this.fetching.add(id)
      this.fetchPlan(id, begins)
        .catch(() => {})
        .finally(() => this.fetching.delete(id))
    }
  }

  private async fetchPlan(id: string, begins: StageTime): Promise<void> {
    const answer = await this.fetch(`/plans/${id}`)
    if (!answer.ok) return
    this.plans.set(id, (await answer.json()) as ClubPlanDocument)
    for (const listener of this.listeners) listener()
    const from = (this.moment()?.pos ?? begins) as StageTime
    if (!this.loud || (await this.sound.prepare(id, from))) this.prepared.add(id)
  }

  /** A request of the club's API under this seat. */
  fetch(path: string, init: RequestInit = {}): Promise<Response> {
    return fetch(`/api/club${path}`, {
      ...init,
      headers: { authorization: `Bearer ${this.link.me?.token ?? ''}`, 'content-type': 'application/json' },
    })
  }

  /** Server time; by the wall clock until the first exchanges are in. */
  serverNow(): EpochTime {
    return this.link.clock.usable ? this.link.serverNow() : epochNow()
  }

  moment(): Moment | null {
    return momentAt(this.link.room, this.serverNow())
  }

  planNow(): ClubPlanDocument | null {
    const id = this.moment()?.plan.id ?? this.link.room.run?.plans[0]?.id
    return (id && this.plans.get(id)) || null
  }

  /** The page's time of an event of a finger, as server time. */
  serverAtEvent(stamp: number): EpochTime {
    return this.link.clock.serverAt(stamp / 1000)
  }

  setClap(ms: number): void {
    localStorage.setItem(CLAP, String(ms))
    this.sound.clap = ms / 1000
  }

  stop(): void {
    for (const timer of this.timers) clearInterval(timer)
    document.removeEventListener('visibilitychange', this.shown)
    removeEventListener('pageshow', this.shown)
    removeEventListener('online', this.networked)
    this.sound.stop()
    this.link.stop()
    this.card.close()
  }
}
