import { existsSync } from 'node:fs'
import { join } from 'node:path'
import express, { type Express, type NextFunction, type Request, type Response } from 'express'
import helmet from 'helmet'
import type { TakeStore } from '../library/takeStore.ts'
import { writeWav } from '../speech/wav.ts'
import { CARS } from '../speed/cars.ts'
import { SURFACES } from '../speed/surfaces.ts'
import type { EpochTime } from '../units.ts'
import { bytesOf } from './bytesOf.ts'
import { type ClubRoutesOptions, clubRoutes } from './clubRoutes.ts'
import { copyDemo } from './demo.ts'
import type { LearnDesk } from './learnDesk.ts'
import { learnRoutes } from './learnRoutes.ts'
import { isLoopback } from './network.ts'
import { notesRouter } from './notesRouter.ts'
import { problemOf, sendProblem } from './problems.ts'
import { RoadDesk } from './roadDesk.ts'
import { roadRoutes } from './roadRoutes.ts'
import type { StageDesk } from './stageDesk.ts'
import { StageSummaries } from './stageSummaries.ts'
import { takeAlongRouter } from './takeAlong.ts'
import { takesRouter } from './takes.ts'
import { vocabularyView } from './vocabularyView.ts'
import { type VoiceRoutesOptions, voiceRoutes } from './voiceRoutes.ts'
import {
  anchorsSchema,
  newStageSchema,
  patchStageSchema,
  planRequestSchema,
  type StageDetail,
  type StageSummary,
  saveNotesSchema,
} from './wire.ts'
import type { ClipWords } from './wireTakes.ts'

const MOST_FILE = '100mb'
const MOST_JSON = '8mb'
const YEAR = 31_536_000

export interface AppOptions {
  readonly takes: TakeStore
  readonly desk: StageDesk
  readonly learn: LearnDesk
  /** Built pages. */
  readonly pages: string
  readonly demos: string
  /** Hosts a browser may have asked for: anything else is somebody else's name for this machine (DNS rebinding). */
  readonly isOwnHost: (host: string | undefined) => boolean
  readonly club: ClubRoutesOptions
  readonly voices: VoiceRoutesOptions
  /** Folder of what is on its way out or in. */
  readonly passing: string
  readonly now: () => EpochTime
  readonly random: () => number
  readonly log: (text: string) => void
}

/** HTTP: the API under /api, validated both ways, and the pages. */
export function createApp(options: AppOptions): Express {
  const { desk } = options
  const app = express()
  app.disable('x-powered-by')
  app.set('etag', 'strong')
  app.use((request, response, next) => {
    const { origin } = request.headers
    const foreign = origin !== undefined && !options.isOwnHost(hostOf(origin))
    if (!options.isOwnHost(request.headers.host) || foreign) {
      sendProblem(response, {
        type: 'about:blank',
        title: 'Not this host',
        status: 403,
        detail: 'This server answers only under its own address.',
      })
    } else next()
  })
  app.use(
    helmet({
      contentSecurityPolicy: {
        useDefaults: false,
        directives: {
          defaultSrc: ["'self'"],
          scriptSrc: ["'self'"],
          styleSrc: ["'self'", "'unsafe-inline'"],
          imgSrc: ["'self'", 'data:', 'blob:'],
          mediaSrc: ["'self'", 'blob:'],
          connectSrc: ["'self'"],
          workerSrc: ["'self'", 'blob:'],
          fontSrc: ["'self'", 'data:'],
          objectSrc: ["'none'"],
          baseUri: ["'self'"],
          frameAncestors: ["'none'"],
        },
      },
      strictTransportSecurity: false,
    }),
  )
  app.use(onlyTheClub)
  app.use('/api/club', clubRoutes(options.club))
  // A long road is built apart before anything is asked of its stage; what is wrong with it is for the answer to say.
  app.use('/api/stages/:id', async (request, _response, next) => {
    await desk.ready(request.params.id).catch(() => {})
    next()
  })
  app.use('/api', api(options, desk))
  app.use('/api', learnRoutes(options.learn, options.passing))
  app.use('/api', (request, response) => {
    sendProblem(response, {
      type: 'about:blank',
      title: 'Not here',
      status: 404,
      detail: `There is nothing at ${request.originalUrl.slice(0, 200)}.`,
    })
  })
  if (existsSync(options.pages)) {
    app.use(
      '/assets',
      express.static(join(options.pages, 'assets'), { immutable: true, maxAge: '1y', fallthrough: false }),
    )
    app.use(express.static(options.pages, { index: false }))
    app.get('/{*page}', (_request, response) => response.sendFile(join(options.pages, 'index.html')))
  }
  app.use((error: unknown, _request: Request, response: Response, next: NextFunction) => {
    if (response.headersSent) return next(error)
    const problem = problemOf(error)
    if (problem.status >= 500) options.log(`${(error as Error)?.stack ?? error}\n`)
    sendProblem(response, problem)
  })
  return app
}

/** From other machines only the club is reached: its pages, its own API, and clips by their content's name. The library stays with its owner. */
const FOR_ALL =
  /^\/(club(\/.*)?|assets\/[^/]+|api\/club(\/.*)?|api\/clips\/[a-f0-9]+|[a-z-]+\.(svg|png|ico|webmanifest))$/

function onlyTheClub(request: Request, response: Response, next: NextFunction): void {
  if (isLoopback(request.socket.remoteAddress) || FOR_ALL.test(request.path)) next()
  else if (request.method === 'GET' && !request.path.startsWith('/api')) response.redirect('/club')
  else
    sendProblem(response, {
      type: 'about:blank',
      title: 'On the host only',
      status: 403,
      detail: 'Only the club is open to the network; stages are read and changed on the machine that holds them.',
    })
}

function hostOf(origin: string): string | undefined {
  try {
    return new URL(origin).host
  } catch {
    return undefined
  }
}

function api(options: AppOptions, desk: StageDesk) {
  const router = express.Router()
  const { library } = desk
  const roads = new RoadDesk(desk, options.now)
  const summaries = new StageSummaries(desk)
  const json = express.json({ limit: MOST_JSON })
  const id = (request: Request) => String(request.params.id)

  const detail = (stage: string): StageDetail => {
    const folder = library.read(stage)
    return {
      id: folder.id,
      title: folder.title,
      settings: desk.settings(folder),
      notes: folder.notes,
      revision: folder.revision,
      route: folder.route === null ? null : { file: folder.route.name },
      anchors: folder.anchors,
    }
  }

  router.get('/stages', async (_request, response) => {
    const list: StageSummary[] = []
    for (const entry of library.list()) list.push(await summaries.of(entry))
    response.json(list)
  })
  router.post('/stages', json, (request, response) => {
    const { title, notes } = newStageSchema.parse(request.body)
    response.status(201).json(detail(library.create(title, notes === undefined ? {} : { notes })))
  })
  router.post('/demo', json, (request, response) => {
    const which = typeof request.body?.which === 'string' ? request.body.which : undefined
    response.json(detail(copyDemo(library, options.demos, which)))
  })
  router.get('/stages/:id', (request, response) => {
    response.json(detail(id(request)))
  })
  router.patch('/stages/:id', json, (request, response) => {
    const { title, settings } = patchStageSchema.parse(request.body)
    library.change(id(request), { title, settings })
    response.json(detail(id(request)))
  })
  router.delete('/stages/:id', (request, response) => {
    library.remove(id(request))
    response.status(204).end()
  })
  router.put('/stages/:id/notes', json, (request, response) => {
    const { text, base } = saveNotesSchema.parse(request.body)
    response.json({ revision: library.saveNotes(id(request), text, base) })
  })
  router.get('/stages/:id/versions', (request, response) => {
    response.json(library.versions(id(request)))
  })
  router.get('/stages/:id/versions/:version', (request, response) => {
    response.json({ text: library.version(id(request), String(request.params.version)) })
  })
  router.put('/stages/:id/route', express.raw({ type: () => true, limit: MOST_FILE }), async (request, response) => {
    const name = String(request.query.name ?? 'route.gpx').slice(0, 200)
    const road = await roads.addFile(id(request), { name, use: 'instead', bytes: bytesOf(request) })
    response.json({ losses: road!.losses, length: road!.length, source: road!.source })
  })
  router.put('/stages/:id/anchors', json, (request, response) => {
    library.saveAnchors(id(request), anchorsSchema.parse(request.body))
    response.json(desk.placement(id(request)))
  })
  router.use('/stages/:id/road', roadRoutes(roads, options.log))
  router.get('/stages/:id/road', (request, response) => {
    const step = Math.min(100, Math.max(1, Math.round(Number(request.query.step ?? 2)) || 2))
    response.json(desk.road(id(request), step, Number(request.query.most ?? Number.POSITIVE_INFINITY)))
  })
  router.get('/stages/:id/draft', (request, response) => {
    response.json(desk.draft(id(request)))
  })
  router.get('/stages/:id/placement', (request, response) => {
    response.json(desk.placement(id(request)))
  })
  router.post('/stages/:id/plan', json, async (request, response) => {
    response.json(await desk.plan(id(request), planRequestSchema.parse(request.body ?? {})))
  })
  router.post('/stages/:id/fit', json, async (request, response) => {
    response.json(await desk.fit(id(request), planRequestSchema.parse(request.body ?? {})))
  })
  router.get('/clips/:hash', async (request, response) => {
    const clip = await desk.clips.get(String(request.params.hash))
    if (clip === null) {
      sendProblem(response, {
        type: 'about:blank',
        title: 'Not here',
        status: 404,
        detail: 'There is no such clip; prepare the voice again.',
      })
      return
    }
    response
      .type('audio/wav')
      .set('Cache-Control', `public, max-age=${YEAR}, immutable`)
      .send(Buffer.from(writeWav(clip)))
  })
  router.get('/clips/:hash/words', async (request, response) => {
    const clip = await desk.clips.get(String(request.params.hash))
    const words: ClipWords = {
      wordEnds: clip?.wordEnds ?? [],
      duration: clip === null ? 0 : clip.samples.length / clip.sampleRate,
    }
    response.status(clip === null ? 404 : 200).json(words)
  })
  router.use(
    '/stages/:id/takes',
    takesRouter(options.takes, (stage) => library.read(stage).title),
  )
  router.use('/stages/:id/notes', notesRouter(desk, options.now))
  router.get('/vocabulary', (_request, response) => {
    response.json(vocabularyView())
  })
  const { passing, now, random } = options
  router.use(takeAlongRouter({ desk, folder: passing, now, random }))
  router.use(voiceRoutes(desk, options.voices))
  router.get('/cars', (_request, response) => {
    response.json(CARS)
  })
  router.get('/surfaces', (_request, response) => {
    response.json(SURFACES)
  })
  return router
}
