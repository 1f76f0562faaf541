import { randomBytes, randomUUID } from 'node:crypto'
import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { json, type Request, Router } from 'express'
import { FARTHEST_DAYS } from '../drill/dayPlan.ts'
import { dateAfter, daysBetween, instantOf, isZone, practiceDay } from '../drill/practiceDay.ts'
import { LibraryError } from '../library/stageLibrary.ts'
import { writeSoundApart } from '../speech/writeSoundApart.ts'
import { CAUTION } from '../takealong/runTags.ts'
import type { EpochTime } from '../units.ts'
import type { LearnDesk } from './learnDesk.ts'
import { learntLog, mergeLearnt } from './learnMerge.ts'
import { rideView } from './learnRide.ts'
import { eventOverview, learnView } from './learnView.ts'
import { type EventContent, eventSchema, kindSchema, offerSchema, walkFormatSchema } from './learnWire.ts'
import { ranges, walkSound } from './walkSound.ts'

/** Learning a stage by heart, under /api; files on their way lie in `passing`. A log of another device may be large. */
export function learnRoutes(desk: LearnDesk, passing: string): Router {
  const router = Router()
  const body = json({ limit: '40mb' })
  const id = (request: Request) => String(request.params.id)
  const zone = (request: Request) => (typeof request.query.zone === 'string' ? request.query.zone : undefined)

  router.get('/events', async (_request, response) => {
    response.json(await eventOverview(desk))
  })
  router.post('/events', body, (request, response) => {
    const event = eventSchema.parse(request.body)
    checkMoment(event, desk.now())
    const made = randomBytes(6).toString('hex')
    desk.store.putEvent(made, event)
    response.status(201).json({ id: made, ...event })
  })
  router.put('/events/:id', body, (request, response) => {
    const event = eventSchema.parse(request.body)
    checkMoment(event, desk.now())
    if (!desk.events().some((one) => one.id === id(request))) throw new LibraryError('There is no such event.', 404)
    desk.store.putEvent(id(request), event)
    response.json({ id: id(request), ...event })
  })
  router.delete('/events/:id', (request, response) => {
    desk.store.dropEvent(id(request))
    response.status(204).end()
  })
  router.get('/stages/:id/learn', async (request, response) => {
    response.json(await learnView(desk, id(request), zone(request)))
  })
  router.get('/stages/:id/learn/next', async (request, response) => {
    response.json(await desk.next(id(request), kindSchema.parse(request.query.kind ?? 'say'), zone(request)))
  })
  router.post('/stages/:id/learn/answers', body, async (request, response) => {
    response.json(await desk.take(id(request), request.body))
  })
  router.post('/stages/:id/learn/ride', body, async (request, response) => {
    response.json(await rideView(desk, id(request), request.body))
  })
  router.post('/stages/:id/learn/offers', body, async (request, response) => {
    const { call, from } = offerSchema.parse(request.body)
    await desk.settle(id(request), call, from)
    response.json(await learnView(desk, id(request), zone(request)))
  })
  router.get('/stages/:id/learn/log', async (request, response) => {
    const { title } = desk.desk.library.read(id(request))
    response.attachment(`${title} learnt.json`).json(learntLog(desk, id(request)))
  })
  router.post('/stages/:id/learn/log', body, async (request, response) => {
    response.json(await mergeLearnt(desk, id(request), request.body))
  })
  router.get('/stages/:id/learn/walk', async (request, response) => {
    const minutes = Math.min(120, Math.max(1, Number(request.query.minutes ?? 15) || 15))
    const format = walkFormatSchema.parse(request.query.format ?? 'mp3')
    const { sound, title, calls } = await walkSound(desk, id(request), minutes * 60)
    mkdirSync(passing, { recursive: true })
    const path = join(passing, `${randomUUID()}.${format}`)
    const name = `calls ${calls[0]! + 1} to ${calls.at(-1)! + 1} from memory`
    const tags = { title: `${title}: ${name}`, album: title, comment: CAUTION, chapters: [] }
    try {
      await writeSoundApart(path, sound, { format, tags })
      response
        .type(format === 'mp3' ? 'audio/mpeg' : 'audio/wav')
        .set('Content-Disposition', `attachment; filename="${name.replaceAll(' ', '-')}.${format}"`)
        // For marking afterwards what was known of it.
        .set('X-Calls', ranges(calls))
      await new Promise<void>((done) => response.sendFile(path, { dotfiles: 'allow' }, () => done()))
    } finally {
      rmSync(path, { force: true })
    }
  })
  return router
}

/** A day, time or zone that is none is the request's fault, and so is an event nobody can plan for yet. */
function checkMoment({ date, time, zone, stages }: EventContent, now: EpochTime): void {
  for (const day of [date, ...stages.flatMap(({ recce }) => recce ?? [])])
    if (!isDay(day)) throw new LibraryError(`There is no day ${day}; choose one of the calendar.`, 400)
  if (!isZone(zone))
    throw new LibraryError(`This machine knows no time zone "${zone}"; use a name such as "Europe/London".`, 400)
  try {
    instantOf({ date, time, zone })
  } catch {
    throw new LibraryError(`"${time}" is no time of the day; give hours and minutes, as 10:00.`, 400)
  }
  if (daysBetween(practiceDay(now, zone), date) > FARTHEST_DAYS)
    throw new LibraryError(`${date} is more than a year away; check the year, or set the event nearer its day.`, 400)
}

const isDay = (day: string) => !Number.isNaN(Date.parse(`${day}T00:00Z`)) && dateAfter(day, 0) === day
