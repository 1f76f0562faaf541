import { json, Router } from 'express'
import { z } from 'zod'
import { renumberGrades } from '../notes/renumberGrades.ts'
import { callWords, speechRequest } from '../rehearsal/sayCalls.ts'
import { previewWordings } from '../rehearsal/wordingPreview.ts'
import type { StageDesk } from './stageDesk.ts'

const textSchema = z.object({ text: z.string().max(4_000_000) })
const placeSchema = textSchema.extend({ from: z.number().int().min(0), to: z.number().int().min(0) })

/** What the editor asks of the notes it holds, which need not be saved yet: wordings side by side, grades turned round, a line spoken. */
export function notesRouter(desk: StageDesk): Router {
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
  return router
}

const stageOf = (request: { params: Record<string, unknown> }): string => String(request.params['id'])
