import { json, Router, raw } from 'express'
import { z } from 'zod'
import { checkCrewTable } from '../notes/crewTable.ts'
import { renumberGrades } from '../notes/renumberGrades.ts'
import { callWords, speechRequest } from '../rehearsal/sayCalls.ts'
import { previewWordings } from '../rehearsal/wordingPreview.ts'
import type { EpochTime } from '../units.ts'
import { bytesOf } from './bytesOf.ts'
import { crewWordsOf } from './crewWords.ts'
import type { StageDesk } from './stageDesk.ts'
import { vocabularyView } from './vocabularyView.ts'
import { type CaptionsTaken, type CrewTableView, typedWordsSchema, type VocabularyEntry } from './wireNotes.ts'

const textSchema = z.object({ text: z.string().max(4_000_000) })
const placeSchema = textSchema.extend({ from: z.number().int().min(0), to: z.number().int().min(0) })

/** What the editor asks of the notes it holds, which need not be saved yet: wordings side by side, grades turned round, a line spoken; the crew's own words, and captions as notes. */
export function notesRouter(desk: StageDesk, now: () => EpochTime): Router {
  const router = Router({ mergeParams: true })
  const body = json({ limit: '8mb' })
  const read = (id: string, text: string) => desk.parse(id, text, false).notes
  router.post('/wordings', body, (request, response) => {
    const { text } = textSchema.parse(request.body)
    const run = desk.run(stageOf(request), {})
    response.json(previewWordings(read(stageOf(request), text), run.pins, run.rate))
  })
  router.post('/renumber', body, (request, response) => {
    const { text } = textSchema.parse(request.body)
    response.json(renumberGrades(read(stageOf(request), text)))
  })
  router.post('/say', body, async (request, response) => {
    const { text, from, to } = placeSchema.parse(request.body)
    const run = desk.run(stageOf(request), {})
    const notes = read(stageOf(request), text)
    const wording = run.wording === 'automatic' ? 'standard' : run.wording
    const words = callWords(notes, wording, run.pins).filter((call) => {
      const place = notes.calls[call.call]!
      return call.words.length > 0 && place.from < to && place.to > from
    })
    const clips = await desk.clips.speakAll(words.map((call) => speechRequest(call, run)))
    response.json({ clips: clips.map((clip, i) => ({ hash: clip.hash, say: words[i]!.words.join(' ') })) })
  })
  router.get('/vocabulary', (request, response) => {
    response.json(
      vocabularyView(
        crewWordsOf(desk.settings(desk.library.read(stageOf(request))).crewWords ?? []),
      ) satisfies VocabularyEntry[],
    )
  })
  router.put('/words', body, (request, response) => {
    const crewWords = typedWordsSchema.parse(request.body)
    const { problems, notices } = checkCrewTable(crewWordsOf(crewWords))
    if (problems.length === 0) desk.library.change(stageOf(request), { settings: { crewWords } })
    response.json({ kept: problems.length === 0, problems, notices } satisfies CrewTableView)
  })
  router.put('/captions', raw({ type: () => true, limit: '8mb' }), (request, response) => {
    const taken = desk.captions.take(stageOf(request), bytesOf(request), Math.round(now() * 1000))
    response.json(taken satisfies CaptionsTaken)
  })
  return router
}

const stageOf = (request: { params: Record<string, unknown> }): string => String(request.params['id'])
