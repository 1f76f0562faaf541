import express, { type Request, type Response, type Router } from 'express'
import { rateLimit } from 'express-rate-limit'
import { z } from 'zod'
import type { ClubHall } from '../sessions/clubHall.ts'
import { resultsCsv } from '../sessions/results.ts'
import type { Member } from '../sessions/room.ts'
import type { RoomHost } from '../sessions/roomHost.ts'
import { fingerprint, matches, roomOfToken } from '../sessions/secrets.ts'
import type { ClubShelf } from './clubShelf.ts'
import { isLoopback } from './network.ts'
import { sendProblem } from './problems.ts'
import type { StageDesk } from './stageDesk.ts'
import type { ClubOverview } from './wire.ts'

/** A phone opening a long stage asks for some hundred clips at once, and never again. */
const ASKED_A_MINUTE = 1500

export interface ClubRoutesOptions {
  /** null with the reason when another process has the evenings of this library. */
  readonly hall: ClubHall | null
  readonly taken: string
  readonly shelf: ClubShelf
  readonly desk: StageDesk
  readonly lan: {
    readonly open: () => boolean
    readonly addresses: () => readonly string[]
    readonly change: (open: boolean) => Promise<void>
  }
  readonly secure: boolean
}

const newRoomSchema = z.strictObject({ title: z.string().max(200) })
const endSchema = z.strictObject({ keep: z.boolean() })
const lanSchema = z.strictObject({ open: z.boolean() })

/** What of a club goes over HTTP: opening and ending an evening, plans, results. Opening is for the host's own machine; the rest for who holds a seat. */
export function clubRoutes(options: ClubRoutesOptions): Router {
  const router = express.Router()
  const { hall, shelf, desk, lan } = options
  const json = express.json({ limit: '4kb' })
  router.use(
    rateLimit({
      windowMs: 60_000,
      limit: ASKED_A_MINUTE,
      skip: (request) => isLoopback(request.socket.remoteAddress),
      standardHeaders: 'draft-8',
      legacyHeaders: false,
      handler: (_request, response) =>
        refuse(response, 429, 'Too many requests', 'Too much was asked at once; wait a minute.'),
    }),
  )
  if (hall === null) {
    router.use((_request, response) => refuse(response, 409, 'Hosted elsewhere', options.taken))
    return router
  }

  const host = (response: Response, request: Request): boolean => {
    if (isLoopback(request.socket.remoteAddress)) return true
    refuse(response, 403, 'On the host only', 'This is done on the machine that hosts the evening.')
    return false
  }
  const overview = (): ClubOverview => ({
    rooms: hall.rooms(),
    lan: { open: lan.open(), addresses: lan.addresses() },
    secure: options.secure,
  })

  router.get('/', (request, response) => {
    if (host(response, request)) response.json(overview())
  })
  router.post('/', json, (request, response) => {
    if (host(response, request)) response.status(201).json(hall.open(newRoomSchema.parse(request.body).title))
  })
  router.put('/lan', json, async (request, response) => {
    if (!host(response, request)) return
    await lan.change(lanSchema.parse(request.body).open)
    response.json(overview())
  })
  router.get('/plans/:plan', (request, response) => {
    if (!seated(hall, request, response)) return
    const text = shelf.text(String(request.params.plan))
    if (text === null)
      refuse(response, 404, 'Not here', 'There is no such plan; the trainer may have chosen another run.')
    else response.type('application/json').set('Cache-Control', 'private, max-age=86400, immutable').send(text)
  })
  router.get('/stages', (request, response) => {
    if (!trainer(hall, request, response)) return
    response.json(desk.library.list().map(({ id, title }) => ({ id, title })))
  })
  router.get('/results.csv', (request, response) => {
    const seat = seated(hall, request, response)
    if (!seat) return
    const whose = seat.member.role === 'trainer' ? null : seat.member.id
    response
      .type('text/csv')
      .set('Content-Disposition', 'attachment; filename="say-when-club.csv"')
      .send(resultsCsv(seat.host.room, (id) => shelf.get(id), whose))
  })
  router.post('/end', json, (request, response) => {
    const seat = trainer(hall, request, response)
    if (!seat) return
    seat.host.end(endSchema.parse(request.body).keep)
    response.status(204).end()
  })
  return router
}

interface Seat {
  readonly host: RoomHost
  readonly member: Member
}

/** The seat of a request's token, or a refusal sent. */
function seated(hall: ClubHall, request: Request, response: Response): Seat | null {
  const token = /^Bearer ([\w.-]{8,120})$/.exec(request.headers.authorization ?? '')?.[1] ?? ''
  const host = hall.host(roomOfToken(token))
  const member = host?.room.members.get(fingerprint(token).slice(0, 12))
  if (host && member && matches(token, member.token)) return { host, member }
  refuse(response, 401, 'Not in the room', 'Join with the code first.')
  return null
}

function trainer(hall: ClubHall, request: Request, response: Response): Seat | null {
  const seat = seated(hall, request, response)
  if (!seat || seat.member.role === 'trainer') return seat
  refuse(response, 403, 'For the trainer', 'Only a trainer does this.')
  return null
}

function refuse(response: Response, status: number, title: string, detail: string): void {
  sendProblem(response, { type: 'about:blank', title, status, detail })
}
