import { randomBytes, randomUUID } from 'node:crypto'
import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { json, type Request, Router } from 'express'
import { instantOf } from '../drill/practiceDay.ts'
import { LibraryError } from '../library/stageLibrary.ts'
import { writeSoundApart } from '../speech/writeSoundApart.ts'
import { CAUTION } from '../takealong/runTags.ts'
import type { LearnDesk } from './learnDesk.ts'
import { learntLog, mergeLearnt } from './learnMerge.ts'
import { rideView } from './learnRide.ts'
import { eventOverview, learnView } from './learnView.ts'
import { eventSchema, kindSchema, offerSchema, walkFormatSchema } from './learnWire.ts'
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
    checkMoment(event)
    const made = randomBytes(6).toString('hex')
    desk.store.putEvent(made, event)
    response.status(201).json({ id: made, ...event })
  })
  router.put('/events/:id', body, (request, response) => {
    const event = eventSchema.parse(request.body)
    checkMoment(event)
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

/** A date or zone that is none is the request's fault. */
function checkMoment(event: { date: string; time: string; zone: string }): void {
  try {
    instantOf(event)
  } catch (error) {
    throw new LibraryError((error as Error).message, 400)
  }
}
