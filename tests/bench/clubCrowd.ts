import WebSocket from 'ws'
import { AudioClock } from '../../client/playback/audioClock.ts'
import type { SoundCard } from '../../client/playback/soundCard.ts'
import { ClubLink, type Credentials, type LinkSocket } from '../../client/sessions/clubLink.ts'
import { ClubSound } from '../../client/sessions/clubSound.ts'
import type { ClubPlanDocument } from '../../server/api/wire.ts'
import type { Way } from '../client/playback/simulatedNetwork.ts'

export interface Network {
  readonly name: string
  readonly up: Way
  readonly down: Way
}

/** Seconds since 1970 on this process's steady clock: the truth that every clock below is held against. */
export const truth = () => (performance.timeOrigin + performance.now()) / 1000

/** A socket whose messages take as long as the network says, in order, as over TCP. */
function delayed(address: string, network: Network, random: () => number, began: number): LinkSocket {
  const socket = new WebSocket(address, {
    origin: address.replace('ws', 'http').replace('/club', ''),
    perMessageDeflate: false,
  })
  let [lastUp, lastDown] = [0, 0]
  const later = (way: Way, last: number, run: () => void): number => {
    const now = truth()
    const at = Math.max(last, now + way(random, now - began))
    setTimeout(run, Math.max(0, (at - now) * 1000))
    return at
  }
  const link: LinkSocket = {
    send(text) {
      lastUp = later(network.up, lastUp, () => socket.readyState === WebSocket.OPEN && socket.send(text))
    },
    close: () => socket.close(),
    onopen: null,
    onmessage: null,
    onclose: null,
  }
  socket.on('open', () => link.onopen?.())
  socket.on('message', (data) => {
    const text = String(data)
    if (network.name === 'none') link.onmessage?.(text)
    else lastDown = later(network.down, lastDown, () => link.onmessage?.(text))
  })
  socket.on('close', (code, reason) => link.onclose?.(code, String(reason)))
  socket.on('error', () => {})
  return link
}

/** A start of sound as it was given to a card, with the moment it is heard in true time. */
export interface Heard {
  readonly call: number
  readonly server: number
  readonly truth: number
}

/** A phone with clocks of its own: the page's (±50 ppm), and the sound card's (±30 ppm, read in steps of 2.7 ms). Runs the pages' own link, clock and scheduler. */
export class Phone {
  readonly link: ClubLink
  readonly sound: ClubSound
  readonly heard: Heard[] = []
  readonly seqs: number[] = []
  readonly joined: number
  usableAfter = 0
  backAt = 0
  private readonly audio = new AudioClock()
  private readonly timer: NodeJS.Timeout
  private readonly page: { offset: number; drift: number }
  private readonly card: { offset: number; drift: number }
  private read = 0
  private readonly zero = truth()

  constructor(q: {
    address: string
    network: Network
    random: () => number
    credentials: Credentials
    plans: Map<string, ClubPlanDocument>
  }) {
    const { random } = q
    this.page = { offset: (random() - 0.5) * 20_000, drift: (random() - 0.5) * 1e-4 }
    this.card = { offset: random() * 1000, drift: (random() - 0.5) * 6e-5 }
    this.joined = truth()
    this.link = new ClubLink(
      {
        connect: () => delayed(q.address, q.network, random, this.zero),
        now: () => this.pageNow(),
        wall: () => Math.round(truth() * 1000) / 1000,
        after: (seconds, run) => {
          const timer = setTimeout(run, seconds * 1000)
          return () => clearTimeout(timer)
        },
        random,
      },
      q.credentials,
    )
    this.link.onEvent = (event) => this.seqs.push(event.seq)
    this.link.subscribe(() => {
      if (this.usableAfter === 0 && this.link.status === 'in') this.usableAfter = -1
      if (this.link.status === 'in') this.backAt = this.backAt || truth()
      else this.backAt = 0
    })
    this.sound = new ClubSound({
      card: this.silentCard(),
      clock: this.link.clock,
      audio: this.audio,
      calls: (plan) => q.plans.get(plan)?.plan.calls ?? null,
      pageNow: () => this.pageNow(),
    })
    this.timer = setInterval(() => this.wake(), 100)
  }

  private pageNow(): number {
    return this.page.offset + (truth() - this.zero) * (1 + this.page.drift)
  }

  private cardAt(t: number): number {
    return this.card.offset + (t - this.zero) * (1 + this.card.drift)
  }

  private wake(): void {
    const now = truth()
    if (this.usableAfter === -1 && this.link.clock.usable) this.usableAfter = now - this.joined
    if (now - this.read > 1) {
      this.read = now
      this.audio.add({ audio: Math.floor(this.cardAt(now) / 0.0027) * 0.0027, page: this.pageNow() })
      this.link.ready(this.link.room.run?.plans[0]?.id ?? null)
    }
    if (this.link.status === 'in') this.sound.wake(this.link.room)
    for (const start of this.sound.log.splice(0)) {
      const at = this.zero + (start.audio - this.card.offset) / (1 + this.card.drift)
      this.heard.push({ call: start.call, server: start.server, truth: at })
    }
  }

  /** Error of this phone's server time, seconds; both processes read one host's clock. */
  clockError(): number {
    return this.link.serverNow() - truth()
  }

  private silentCard(): SoundCard {
    const sounding = { stop() {} }
    return {
      now: () => this.cardAt(truth()),
      heard: () => this.cardAt(truth()),
      load: async () => {},
      has: () => true,
      play: () => sounding,
      tick: () => sounding,
      resume: async () => {},
      close() {},
    }
  }

  stop(): void {
    clearInterval(this.timer)
    this.link.stop()
  }
}

/** Skews of every start of every call about the median over phones, in milliseconds, and how many starts there were. */
export function skews(phones: readonly Phone[], from: number): number[] {
  const byStart = new Map<string, number[]>()
  for (const phone of phones) {
    for (const { call, server, truth: at } of phone.heard) {
      if (server < from) continue
      const key = `${call} ${server.toFixed(4)}`
      byStart.set(key, [...(byStart.get(key) ?? []), at - server])
    }
  }
  const all: number[] = []
  for (const lags of byStart.values()) {
    const middle = [...lags].sort((a, b) => a - b)[lags.length >> 1]!
    for (const lag of lags) all.push(Math.abs(lag - middle) * 1000)
  }
  return all
}
