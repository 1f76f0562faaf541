import express, { type Request, type Router } from 'express'
import type { StoredTake, TakeStore } from '../library/takeStore.ts'
import { measurePace } from '../rehearsal/measurePace.ts'
import { readingReport } from '../rehearsal/readingReport.ts'
import { scorePresses } from '../rehearsal/scorePresses.ts'
import { scoreTake, type TakeScore } from '../rehearsal/scoreTake.ts'
import { takeCsv } from '../rehearsal/takeCsv.ts'
import { bytesOf } from './bytesOf.ts'
import {
  heardSchema,
  type NewTake,
  newTakeSchema,
  pressesSchema,
  type TakeDetail,
  type TakeSummary,
  type TakesView,
} from './wireTakes.ts'

const MOST_PIECE = '8mb'
/** Takes a pace is measured on: the newest, because reading gets quicker with practice. */
const PACE_TAKES = 6

/** Takes of a stage under /stages/:id/takes. A take is scored when it is asked for: the score is a function of its plan and what was heard. */
export function takesRouter(takes: TakeStore, readTitle: (stage: string) => string): Router {
  const router = express.Router({ mergeParams: true })
  const json = express.json({ limit: MOST_PIECE })
  const stageOf = (request: Request) => String((request.params as Record<string, string>).id)
  const takeOf = (request: Request) => String(request.params.take)

  router.get('/', (request, response) => {
    response.json(view(takes, stageOf(request)))
  })
  router.post('/', json, (request, response) => {
    const about = newTakeSchema.parse(request.body)
    readTitle(stageOf(request))
    response.status(201).json({ id: takes.create(stageOf(request), about) })
  })
  router.get('/all.csv', (request, response) => {
    const scored = takes.list(stageOf(request)).flatMap((take) => {
      const { score, startedAt, averageSpeed, id } = summary(take)
      return score === null ? [] : [{ id, startedAt, averageSpeed, score }]
    })
    response.type('text/csv').attachment('takes.csv').send(takeCsv(scored))
  })
  router.get('/:take', (request, response) => {
    response.json(detail(takes.read(stageOf(request), takeOf(request))))
  })
  router.put('/:take/sound', express.raw({ type: () => true, limit: MOST_PIECE }), (request, response) => {
    const at = Number(request.query.at ?? 0)
    const samples = takes.writeSound(stageOf(request), takeOf(request), at, bytesOf(request))
    response.json({ samples })
  })
  router.get('/:take/sound', (request, response) => {
    response.sendFile(takes.soundFile(stageOf(request), takeOf(request)), { dotfiles: 'allow' })
  })
  router.put('/:take/heard', json, (request, response) => {
    takes.keepHeard(stageOf(request), takeOf(request), heardSchema.parse(request.body))
    response.json(detail(takes.read(stageOf(request), takeOf(request))))
  })
  router.put('/:take/presses', json, (request, response) => {
    takes.keepPresses(stageOf(request), takeOf(request), pressesSchema.parse(request.body))
    response.json(detail(takes.read(stageOf(request), takeOf(request))))
  })
  router.get('/:take/acted', (request, response) => {
    const take = takes.read(stageOf(request), takeOf(request))
    const kept = pressesSchema.safeParse(take.presses)
    const { presses, until } = kept.success ? kept.data : { presses: [], until: 0 }
    response.json(scorePresses((take.about as NewTake).calls, presses, until))
  })
  router.delete('/:take', (request, response) => {
    takes.erase(stageOf(request), takeOf(request))
    response.status(204).end()
  })
  return router
}

function view(takes: TakeStore, stage: string): TakesView {
  const stored = takes.list(stage)
  const summaries = stored.map(summary)
  const scored = summaries.flatMap((take) =>
    take.kind === 'read' && take.score !== null ? [{ ...take, score: take.score }] : [],
  )
  const sound = scored.filter((take) => take.score.doubt === null)
  return {
    takes: summaries,
    report: readingReport(sound),
    pace: measurePace(sound.slice(-PACE_TAKES).map((take) => take.score)),
    storage: { used: stored.reduce((sum, take) => sum + take.bytes, 0), free: takes.free(stage) },
  }
}

function summary(take: StoredTake): TakeSummary {
  const about = take.about as NewTake
  const heard = heardSchema.safeParse(take.heard)
  const score: TakeScore | null = heard.success ? scoreTake(about.calls, heard.data, about.from) : null
  return {
    id: take.id,
    kind: about.kind,
    startedAt: take.startedAt,
    averageSpeed: about.averageSpeed,
    wording: about.wording,
    notes: about.notes,
    seconds: take.samples / about.sampleRate,
    bytes: take.bytes,
    finished: heard.success || take.presses !== null,
    score,
    warnings: heard.success ? heard.data.warnings : [],
  }
}

function detail(take: StoredTake): TakeDetail {
  const heard = heardSchema.safeParse(take.heard)
  const presses = pressesSchema.safeParse(take.presses)
  return {
    ...summary(take),
    about: take.about as NewTake,
    heard: heard.success ? heard.data : null,
    presses: presses.success ? presses.data.presses : [],
  }
}
