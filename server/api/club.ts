import { randomInt } from 'node:crypto'
import { join } from 'node:path'
import { inProcessBus } from '../sessions/clubBus.ts'
import { ClubHall } from '../sessions/clubHall.ts'
import { FrontDoor } from '../sessions/frontDoor.ts'
import { HallTaken } from '../sessions/hallLock.ts'
import type { EpochTime } from '../units.ts'
import { ClubShelf } from './clubShelf.ts'
import { clubSockets } from './clubSocket.ts'
import type { StageDesk } from './stageDesk.ts'

/** Said wherever the network is opened: at the command line and on the page. */
export const LAN_MEANS =
  'Open to the local network: every device on it can reach the club pages and try a join code. Stages, notes and this machine’s files stay out of reach.'

const TICK_MS = 100
const COARSE = 2 ** 32

/** The evenings of this library, with their door for connections; `hall` is null, and `taken` says why, when another process hosts them. */
export function openClub(q: { desk: StageDesk; library: string; now: () => EpochTime; log: (text: string) => void }) {
  const folder = join(q.library, 'club')
  const shelf = new ClubShelf(q.desk, join(folder, 'plans'))
  const bus = inProcessBus()
  const front = new FrontDoor(bus, { now: q.now, log: q.log, name: 'here' })
  let hall: ClubHall | null = null
  let taken = ''
  try {
    hall = new ClubHall(folder, { now: q.now, random: () => randomInt(COARSE) / COARSE, shelf, bus, log: q.log })
  } catch (error) {
    if (!(error instanceof HallTaken)) throw error
    taken = error.message
  }
  const sockets = clubSockets(front)
  const timer = setInterval(() => {
    const now = q.now()
    hall?.tick(now)
    front.tick(now)
  }, TICK_MS).unref()
  return {
    hall,
    taken,
    shelf,
    sockets,
    stop: () => {
      clearInterval(timer)
      hall?.close()
    },
  }
}
