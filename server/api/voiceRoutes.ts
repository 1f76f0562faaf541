import express, { type Request, type Router } from 'express'
import { z } from 'zod'
import { phrase } from '../speech/phrase.ts'
import { pronounce } from '../speech/pronounce.ts'
import { readAnyWav } from '../speech/readAnyWav.ts'
import { type SpeechEngine, SpeechError } from '../speech/speechEngine.ts'
import { openSystemEngine } from '../speech/systemEngine.ts'
import type { VoiceFolder } from '../speech/voiceFolder.ts'
import { voiceWords } from '../takealong/voiceWords.ts'
import { bytesOf } from './bytesOf.ts'
import type { StageDesk } from './stageDesk.ts'

export interface VoiceRoutesOptions {
  readonly engine: SpeechEngine
  readonly folder: VoiceFolder
}

const MOST_RECORDING = '4mb'
const hearSchema = z.object({
  text: z.string().min(1).max(400),
  voice: z.string().min(1).max(60),
  rate: z.number().min(80).max(450).default(200),
  pitch: z.number().min(0).max(100).default(50),
  sayAs: z
    .array(z.object({ write: z.string().max(40), say: z.string().max(80) }))
    .max(300)
    .default([]),
})

/** What voices there are, for the page. */
export interface VoicesView {
  readonly embedded: readonly { readonly id: string; readonly name: string; readonly language: string }[]
  readonly external: readonly { readonly id: string; readonly name: string }[]
  /** What is wrong with the list of external voices; null for nothing. */
  readonly externalProblem: string | null
  readonly system: string
  readonly own: readonly string[]
}

/** A row of the page's list of what to record. */
export interface VoiceWordView {
  readonly words: string
  readonly uses: number
  readonly adds: number
  readonly recorded: boolean
}

const SYSTEM_SAYS =
  process.platform === 'linux'
    ? 'On Linux the system’s voice plays live on this machine’s loudspeaker only; it cannot be ridden with or written to a file.'
    : 'The system’s voice plays live on this machine’s loudspeaker.'

/** Voices under /api: what there is, one heard at once, the system's live, and the crew's own recordings. */
export function voiceRoutes(desk: StageDesk, { engine, folder }: VoiceRoutesOptions): Router {
  const router = express.Router()
  const json = express.json({ limit: '200kb' })
  const words = (request: Request) => String(request.params.words).slice(0, 120)

  router.get('/voices', async (_request, response) => {
    const embedded = await engine.voices()
    let external: VoicesView['external'] = []
    let externalProblem: string | null = null
    try {
      external = folder.external().map(({ id, name }) => ({ id: `external:${id}`, name }))
    } catch (error) {
      externalProblem = (error as Error).message
    }
    const english = (language: string) => (language.startsWith('en') ? 0 : 1)
    const view: VoicesView = {
      embedded: [...embedded].sort((a, b) => english(a.language) - english(b.language) || a.name.localeCompare(b.name)),
      external,
      externalProblem,
      system: SYSTEM_SAYS,
      own: folder.recorded(),
    }
    response.json(view)
  })
  router.post('/voices/hear', json, async (request, response) => {
    const { text, voice, rate, pitch, sayAs } = hearSchema.parse(request.body)
    const said = phrase(pronounce(text, sayAs))
    if (said.length === 0) throw new SpeechError('There is nothing in this text that a voice can say.')
    const [made] = await desk.clips.speakAll([{ words: said, voice, rate, pitch }])
    const { clip, hash } = made!
    response.json({ hash, seconds: clip.samples.length / clip.sampleRate, timing: clip.timing, said: said.join(' ') })
  })
  router.post('/voices/system/hear', json, async (request, response) => {
    const { text, rate, pitch } = hearSchema.parse({ ...request.body, voice: 'system' })
    await openSystemEngine().sayNow!({ words: phrase(text), voice: 'system', rate, pitch })
    response.status(204).end()
  })
  router.get('/stages/:id/voice-words', async (request, response) => {
    const needed = voiceWords(desk.estimate(String(request.params.id)))
    const view = (one: { words: string; uses: number; adds: number }): VoiceWordView => ({
      ...one,
      recorded: folder.has(one.words),
    })
    response.json({ words: needed.words.map(view), phrases: needed.phrases.map(view) })
  })
  router.put(
    '/voices/own/:words',
    express.raw({ type: () => true, limit: MOST_RECORDING }),
    async (request, response) => {
      let sound: ReturnType<typeof readAnyWav>
      try {
        sound = readAnyWav(bytesOf(request))
      } catch (error) {
        throw new SpeechError(`The recording cannot be used: ${(error as Error).message}.`)
      }
      response.json(await folder.record(words(request), sound))
    },
  )
  router.delete('/voices/own/:words', async (request, response) => {
    await folder.forget(words(request))
    response.status(204).end()
  })
  return router
}
