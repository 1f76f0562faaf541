import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type ClubBus, inProcessBus } from '../../../server/sessions/clubBus.ts'
import { ClubHall, type HallDeps } from '../../../server/sessions/clubHall.ts'
import type { ClubCall, ClubPlan, PlanShelf } from '../../../server/sessions/clubPlan.ts'
import type { ClubMessage, ClubReply } from '../../../server/sessions/clubWire.ts'
import { FrontDoor } from '../../../server/sessions/frontDoor.ts'
import type { RoomLog } from '../../../server/sessions/roomLog.ts'
import { seededRandom } from '../../seededRandom.ts'

export const BEGIN = 1_900_000_000

/** `count` calls, one every `every` seconds from 1 s on, each a second long. */
export function evenCalls(count: number, every = 4): ClubCall[] {
  return Array.from({ length: count }, (_, index) => {
    const start = 1 + index * every
    return { index, start, end: start + 1, earliest: start - 1, latest: start + 1, say: `call ${index}` }
  })
}

/** A plan on a road of 1000 m, driven evenly: `speed` m/s. */
export function evenPlan(id: string, speed = 10, label = 'even'): ClubPlan {
  const ends = 1000 / speed
  const calls = evenCalls(Math.floor(ends / 4) - 1)
  return {
    id,
    title: 'Even road',
    stage: 'even',
    request: { average: speed, wording: label === 'terse' ? 'terse' : 'verbose' },
    begins: -3,
    ends,
    calls,
    profile: { station: [0, 1000], time: [0, ends] },
  }
}

export function evenShelf(): PlanShelf {
  const made = new Map<string, ClubPlan>()
  return {
    get: (id) => made.get(id) ?? null,
    async prepare(stage, wish) {
      if (stage !== 'even') throw new Error(`There is no stage "${stage}".`)
      const speed = wish.average ?? 10
      const id = `${speed}-${wish.wording ?? 'standard'}`
      const plan = evenPlan(id, speed, wish.wording)
      made.set(id, plan)
      return plan
    },
  }
}

export interface Page {
  readonly got: ClubReply[]
  readonly closed: { code: number; reason: string } | null
  readonly last: <T extends ClubReply['type']>(type: T) => Extract<ClubReply, { type: T }>
  /** Says something and lets the room answer. */
  say: (message: ClubMessage | Record<string, unknown>) => Promise<void>
  raw: (text: string | null) => void
  join: (name: string, more?: Record<string, unknown>) => Promise<Extract<ClubReply, { type: 'welcome' }>>
  resume: (token: string, boot: string, seen: number) => Promise<void>
  act: (act: Record<string, unknown>) => Promise<ClubReply>
  leave: () => void
  unsent: number
}

/** A club evening in a folder of its own, on a clock stepped by hand. */
export function evening(more: Partial<HallDeps> & { folder?: string } = {}) {
  const folder = more.folder ?? mkdtempSync(join(tmpdir(), 'club-'))
  let now = BEGIN
  const errors: string[] = []
  const bus: ClubBus = more.bus ?? inProcessBus()
  const deps: HallDeps = {
    now: () => now,
    random: seededRandom(4),
    shelf: evenShelf(),
    log: (text) => errors.push(text),
    ...more,
    bus,
  }
  const hall = new ClubHall(folder, deps)
  const door = (name = 'door') => new FrontDoor(bus, { now: () => now, log: deps.log, name })
  const front = door()
  const { room, code, key } = hall.rooms()[0]
    ? { room: hall.rooms()[0]!.id, code: hall.rooms()[0]!.code, key: '' }
    : hall.open('Club night')
  let acts = 0

  function page(through: FrontDoor = front, address = '192.0.2.1'): Page {
    const got: ClubReply[] = []
    let closed: Page['closed'] = null
    const one = { unsent: 0 }
    const held = through.connect(
      {
        send: (text) => got.push(JSON.parse(text) as ClubReply),
        close: (code, reason) => {
          closed = { code, reason }
        },
        get unsent() {
          return one.unsent
        },
      },
      address,
    )
    const settle = async () => {
      for (let i = 0; i < 25; i++) await Promise.resolve()
    }
    const made: Page = {
      got,
      get closed() {
        return closed
      },
      get unsent() {
        return one.unsent
      },
      set unsent(bytes) {
        one.unsent = bytes
      },
      last: (type) => got.findLast((reply) => reply.type === type) as never,
      async say(message) {
        held.hear(JSON.stringify(message))
        await settle()
      },
      raw: (text) => held.hear(text),
      async join(name, extra = {}) {
        await this.say({ type: 'join', code, name, role: 'co-driver', shown: true, ...extra })
        return this.last('welcome')
      },
      resume(token, boot, seen) {
        return this.say({ type: 'resume', token, boot, seen })
      },
      async act(act) {
        const id = ++acts
        await this.say({ type: 'do', id, act })
        return got.findLast((reply) => (reply.type === 'done' || reply.type === 'refused') && reply.id === id)!
      },
      leave: () => held.end(),
    }
    return made
  }
  return {
    folder,
    hall,
    front,
    door,
    bus,
    room,
    code,
    key,
    errors,
    page,
    trainer: async () => {
      const one = page(front, '127.0.0.1')
      await one.join('Trainer', { role: 'trainer', key, shown: false })
      return one
    },
    state: () => hall.host(room)!.room.state,
    log: (): RoomLog => hall.host(room)!.log,
    now: () => now,
    step(seconds: number) {
      now += seconds
      hall.tick(now)
      front.tick(now)
    },
    /** As after kill -9: nothing is said good-bye to; the files are what is left. */
    abandon: () => hall.close(),
    clean: () => rmSync(folder, { recursive: true, force: true }),
  }
}
