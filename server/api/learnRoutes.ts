import { randomBytes } from 'node:crypto'
import { json, type Request, Router } from 'express'
import { instantOf } from '../drill/practiceDay.ts'
import { LibraryError } from '../library/stageLibrary.ts'
import { writeWav } from '../speech/wav.ts'
import type { LearnDesk } from './learnDesk.ts'
import { rideView } from './learnRide.ts'
import { eventOverview, learnView } from './learnView.ts'
import { eventSchema, kindSchema, offerSchema } from './learnWire.ts'
import { walkSound } from './walkSound.ts'

/** Learning a stage by heart, under /api. A log of another device may be large. */
export function learnRoutes(desk: LearnDesk): Router {
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
    response.json({ lines: desk.log(id(request)) })
  })
  router.post('/stages/:id/learn/log', body, async (request, response) => {
    response.json(await desk.merge(id(request), request.body))
  })
  router.get('/stages/:id/learn/walk', async (request, response) => {
    const minutes = Math.min(120, Math.max(1, Number(request.query.minutes ?? 15) || 15))
    const { sound, first, last } = await walkSound(desk, id(request), minutes * 60)
    response
      .type('audio/wav')
      .set('Content-Disposition', `attachment; filename="walk-calls-${first + 1}-${last + 1}.wav"`)
      .send(Buffer.from(writeWav(sound)))
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
