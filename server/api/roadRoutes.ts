import express, { type Request, Router } from 'express'
import { bytesOf } from './bytesOf.ts'
import { problemOf } from './problems.ts'
import type { RoadDesk } from './roadDesk.ts'
import { type RoadNews, roadChangeSchema, roadFileSchema } from './wireRoad.ts'

const MOST_FILE = '100mb'
const MOST_JSON = '1mb'

/** A stage's road files and what is taken from them, under /stages/:id/road. */
export function roadRoutes(desk: RoadDesk, log: (text: string) => void): Router {
  const router = Router({ mergeParams: true })
  const json = express.json({ limit: MOST_JSON })
  const id = (request: Request) => String((request.params as Record<string, unknown>)['id'])
  router.get('/choice', async (request, response) => {
    response.json(await desk.choice(id(request)))
  })
  router.put('/choice', json, async (request, response) => {
    response.json(await desk.change(id(request), roadChangeSchema.parse(request.body)))
  })
  router.post('/undo', async (request, response) => {
    response.json(await desk.undo(id(request)))
  })
  // Answers line by line while the road is built, so that a page can say what is being done.
  router.post('/files', express.raw({ type: () => true, limit: MOST_FILE }), async (request, response) => {
    const { name, use } = roadFileSchema.parse(request.query)
    response.type('application/x-ndjson').set('Cache-Control', 'no-store')
    const tell = (news: RoadNews) => response.write(`${JSON.stringify(news)}\n`)
    try {
      const road = await desk.addFile(id(request), { name, use, bytes: bytesOf(request) }, (doing, done) =>
        tell({ doing, done }),
      )
      tell({ road: road! })
    } catch (error) {
      const { status, detail } = problemOf(error)
      if (status >= 500) log(`${(error as Error)?.stack ?? error}\n`)
      tell({ problem: { status, detail } })
    }
    response.end()
  })
  return router
}
