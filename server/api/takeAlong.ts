import { randomUUID } from 'node:crypto'
import { createWriteStream, mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { Readable, Transform } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import express, { type Request, type Response, type Router } from 'express'
import { z } from 'zod'
import { LibraryError } from '../library/libraryError.ts'
import { writeBundle } from '../library/writeBundle.ts'
import type { Rehearsal } from '../rehearsal/stage.ts'
import { CUE_FORMATS, CUE_TYPES, type CueFormat, cueFile } from '../takealong/cueFile.ts'
import { notebookHtml } from '../takealong/notebook/notebookHtml.ts'
import { LEAST_TYPE, layOut, MOST_TYPE, type Paper, USUAL_TYPE } from '../takealong/notebook/paper.ts'
import { findBrowser, printPdf } from '../takealong/notebook/printPdf.ts'
import type { EpochTime } from '../units.ts'
import { SoundDesk, soundRequestSchema } from './soundDesk.ts'
import type { StageDesk } from './stageDesk.ts'
import type { PlanRequest } from './wire.ts'

const MOST_BUNDLE = 2 * 1024 ** 3

const number = (least: number, most: number) => z.coerce.number().min(least).max(most)
/** The run asked for in an address: a speed in m/s, a wording, a section; what is absent is the stage's own. */
const runSchema = z.object({
  average: number(0.1, 200).optional(),
  wording: z.enum(['verbose', 'standard', 'terse', 'automatic']).optional(),
  from: number(0, 1e7).optional(),
  to: number(0, 1e7).optional(),
  offset: number(-86_400, 86_400).default(0),
})
const notebookSchema = z.object({
  paper: z.enum(['A5', 'A6']).default('A5'),
  landscape: z.enum(['0', '1']).default('0'),
  type: number(LEAST_TYPE, MOST_TYPE).optional(),
  lines: number(1, 200).optional(),
  words: z.enum(['typed', 'said']).default('typed'),
})

/** What a crew takes along, under /api: captions and tables, the notebook, bundles, sound files. `folder` holds what is on its way; it is emptied at the start. */
export function takeAlongRouter(q: {
  desk: StageDesk
  folder: string
  now: () => EpochTime
  random: () => number
}): Router {
  const { desk, folder } = q
  rmSync(folder, { recursive: true, force: true })
  const router = express.Router()
  const json = express.json({ limit: '100kb' })
  const sounds = new SoundDesk(desk, folder, q.random)
  const id = (request: Request) => String(request.params.id)
  const rehearse = (request: Request): Promise<Rehearsal> => desk.rehearse(id(request), planRequest(request))

  router.get('/stages/:id/cues/:format', async (request, response) => {
    const format = z.enum(CUE_FORMATS as [CueFormat, ...CueFormat[]]).parse(request.params.format)
    const rehearsal = await rehearse(request)
    const { text, dropped } = cueFile(rehearsal, format, runSchema.parse(request.query).offset)
    attach(response, rehearsal.stage.title, format)
    response.set('X-Left-Out', String(dropped)).type(CUE_TYPES[format]).send(text)
  })
  router.get('/stages/:id/notebook', async (request, response) => {
    response.type('html').send(await notebook(desk, request, await rehearse(request)))
  })
  router.get('/stages/:id/notebook.pdf', async (request, response) => {
    const rehearsal = await rehearse(request)
    mkdirSync(folder, { recursive: true })
    const path = join(folder, `${randomUUID()}.pdf`)
    try {
      await printPdf(await notebook(desk, request, rehearsal), path)
      attach(response, rehearsal.stage.title, 'pdf')
      await new Promise<void>((done) => response.type('pdf').sendFile(path, { dotfiles: 'allow' }, () => done()))
    } finally {
      rmSync(path, { force: true })
    }
  })
  router.get('/printing', (_request, response) => {
    response.json({ pdf: findBrowser() !== null })
  })
  router.get('/stages/:id/bundle', async (request, response) => {
    const stage = desk.library.folderOf(id(request))
    attach(response, desk.library.read(id(request)).title, 'zip')
    response.type('application/zip')
    await pipeline(Readable.from(writeBundle(stage, { takes: request.query.takes === '1', madeAt: q.now() })), response)
  })
  router.post('/bundles', async (request, response) => {
    mkdirSync(folder, { recursive: true })
    const path = join(folder, `${randomUUID()}.zip`)
    try {
      await pipeline(request, noMoreThan(MOST_BUNDLE), createWriteStream(path))
      response.status(201).json(await desk.library.openBundle(path))
    } finally {
      rmSync(path, { force: true })
    }
  })

  router.post('/stages/:id/sounds', json, (request, response) => {
    response.status(202).json(sounds.begin(id(request), soundRequestSchema.parse(request.body ?? {})))
  })
  router.get('/sounds/:sound', (request, response) => {
    response.json(sounds.state(String(request.params.sound)))
  })
  router.delete('/sounds/:sound', async (request, response) => {
    await sounds.stop(String(request.params.sound))
    response.status(204).end()
  })
  router.get('/sounds/:sound/file', (request, response) => {
    const { path, title, format } = sounds.file(String(request.params.sound))
    attach(response, title, format)
    response.sendFile(path, { dotfiles: 'allow' })
  })
  return router
}

function planRequest(request: Request): PlanRequest {
  const { average, wording, from, to } = runSchema.parse(request.query)
  return {
    ...(average === undefined ? {} : { target: { kind: 'average', speed: average } }),
    ...(wording === undefined ? {} : { wording }),
    ...(from === undefined ? {} : { from }),
    ...(to === undefined ? {} : { to }),
  }
}

async function notebook(desk: StageDesk, request: Request, rehearsal: Rehearsal): Promise<string> {
  const asked = notebookSchema.parse(request.query)
  const paper: Paper = {
    name: asked.paper,
    landscape: asked.landscape === '1',
    type: asked.type ?? USUAL_TYPE[asked.paper],
    lines: asked.lines === undefined ? null : Math.round(asked.lines),
  }
  try {
    layOut(paper)
  } catch {
    throw new LibraryError(`Type of ${paper.type} pt leaves no room on ${paper.name}; choose a smaller one.`, 422)
  }
  const { units } = desk.settings(desk.library.read(String(request.params.id)))
  return notebookHtml(rehearsal, paper, { units, words: asked.words }).html
}

/** A name that every system can keep: letters, digits and dashes of the title. */
function attach(response: Response, title: string, ending: string): void {
  const name =
    title
      .normalize('NFKD')
      .replace(/[^A-Za-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '')
      .slice(0, 60) || 'stage'
  response.set('Content-Disposition', `attachment; filename="${name}.${ending}"`)
}

function noMoreThan(bytes: number): Transform {
  let left = bytes
  return new Transform({
    transform(piece: Buffer, _encoding, done) {
      left -= piece.length
      done(left < 0 ? new LibraryError('The bundle is larger than 2 GB; take its takes out.', 413) : null, piece)
    },
  })
}
