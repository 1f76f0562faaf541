import { existsSync, mkdirSync, readdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import type { EpochTime } from '../units.ts'
import { cleanName } from './cleanName.ts'
import type { ClubBus } from './clubBus.ts'
import type { PlanShelf } from './clubPlan.ts'
import { lockHall } from './hallLock.ts'
import { makeCode } from './joinCode.ts'
import { Room } from './room.ts'
import { RoomHost } from './roomHost.ts'
import { type Append, openRoomLog, readRoom } from './roomLog.ts'
import { fingerprint, makeSecret } from './secrets.ts'

const MOST_ROOMS = 20

export interface HallDeps {
  readonly now: () => EpochTime
  readonly random: () => number
  readonly shelf: PlanShelf
  readonly bus: ClubBus
  readonly log: (text: string) => void
  readonly append?: Append
}

/** The evenings of one machine: opened, read back after a stop or a crash, ended. Throws HallTaken when another process has the folder. */
export class ClubHall {
  private readonly hosts = new Map<string, { host: RoomHost; stop: () => void }>()
  private readonly folder: string
  private readonly deps: HallDeps
  private readonly unlock: () => void
  readonly boot = makeSecret()

  constructor(folder: string, deps: HallDeps) {
    this.folder = folder
    this.deps = deps
    mkdirSync(join(folder, 'rooms'), { recursive: true })
    this.unlock = lockHall(join(folder, 'hall.lock'))
    for (const name of readdirSync(join(folder, 'rooms'))) {
      try {
        const room = existsSync(join(folder, 'rooms', name, 'log.jsonl')) ? readRoom(join(folder, 'rooms', name)) : null
        if (room === null || room.ended) rmSync(join(folder, 'rooms', name), { recursive: true, force: true })
        else this.take(room)
      } catch (error) {
        deps.log(`The evening in ${join(folder, 'rooms', name)} cannot be read back: ${(error as Error).message}\n`)
      }
    }
  }

  /** Opens a room. The key makes trainers; the code lets crews in. Throws RangeError when there are as many rooms as one machine holds. */
  open(title: string): { room: string; code: string; key: string } {
    if (this.hosts.size >= MOST_ROOMS) throw new RangeError(`ClubHall: ${MOST_ROOMS} rooms are open already`)
    const id = fingerprint(makeSecret()).slice(0, 12)
    const key = makeSecret()
    const used = new Set([...this.hosts.values()].map(({ host }) => host.room.code))
    let code = makeCode(this.deps.random)
    while (used.has(code)) code = makeCode(this.deps.random)
    const first = {
      k: 'room',
      id,
      code,
      title: cleanName(title, 'Club night'),
      key: fingerprint(key),
      since: this.deps.now(),
    } as const
    const host = this.take(new Room(first))
    host.log.append([first])
    return { room: id, code, key }
  }

  private take(room: Room): RoomHost {
    const log = openRoomLog(join(this.folder, 'rooms', room.id), this.deps.append)
    const host = new RoomHost(room, log, {
      ...this.deps,
      boot: this.boot,
      onEnd: () => {
        this.hosts.get(room.id)?.stop()
        this.hosts.delete(room.id)
        if (this.hosts.size === 0) rmSync(join(this.folder, 'plans'), { recursive: true, force: true })
      },
    })
    const stop = this.deps.bus.serve(room.id, room.code, (request) => host.answer(request))
    this.hosts.set(room.id, { host, stop })
    return host
  }

  host(room: string): RoomHost | null {
    return this.hosts.get(room)?.host ?? null
  }

  rooms(): { id: string; title: string; code: string; since: EpochTime; members: number }[] {
    return [...this.hosts.values()].map(({ host: { room } }) => ({
      id: room.id,
      title: room.state.title,
      code: room.code,
      since: room.since,
      members: room.members.size,
    }))
  }

  /** Several times a second. */
  tick(now: EpochTime): void {
    for (const { host } of this.hosts.values()) host.tick(now)
  }

  close(): void {
    for (const { host, stop } of this.hosts.values()) {
      stop()
      host.log.close()
    }
    this.hosts.clear()
    this.unlock()
  }
}
