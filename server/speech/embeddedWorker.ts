import { parentPort } from 'node:worker_threads'
import makeEspeak from '@echogarden/espeak-ng-emscripten'
import type { SpeechRequest } from './speechEngine.ts'
import { trimClip } from './trimClip.ts'

/** A message of the embedded engine's thread. */
export type WorkerRequest =
  | { readonly id: number; readonly request: SpeechRequest }
  | { readonly id: number; readonly list: true }
export type WorkerReply =
  | { readonly id: number; readonly samples: Int16Array; readonly wordEnds: readonly number[] }
  | { readonly id: number; readonly voices: readonly { id: string; name: string; language: string }[] }
  | { readonly id: number; readonly error: string }

/** The engine's own rate, Hz. */
export const EMBEDDED_RATE = 22050

interface EspeakEvent {
  readonly type: string
  readonly text_position: number
  readonly audio_position: number
}
interface Espeak {
  set_voice(name: string): number
  set_rate(rate: number): void
  set_pitch(pitch: number): void
  synthesize(text: string, callback: (audio: Int16Array | null, events: readonly EspeakEvent[]) => boolean): void
  list_voices(): readonly { identifier: string; name: string; languages: readonly { name: string }[] }[]
}

const port = parentPort!
let engine: Promise<Espeak> | null = null
/** Loading a voice costs as much as a short word, so it is done when the voice changes. */
let current = ''

async function start(): Promise<Espeak> {
  const module = await makeEspeak()
  return (await new module.eSpeakNGWorker()) as Espeak
}

function speak(espeak: Espeak, request: SpeechRequest): { samples: Int16Array; wordEnds: number[] } {
  if (request.voice !== current) {
    // An unknown voice answers 2 and silently keeps the one before, so the code is always asked.
    const code = espeak.set_voice(request.voice)
    if (code !== 0)
      throw new Error(`The embedded voice "${request.voice}" is not known; choose another, for example "en".`)
    current = request.voice
  }
  espeak.set_rate(request.rate)
  espeak.set_pitch(request.pitch)
  const text = request.words.join(' ')
  const chunks: Int16Array[] = []
  const starts: { position: number; at: number }[] = []
  espeak.synthesize(text, (audio, events) => {
    if (audio && audio.length > 0) chunks.push(audio.slice())
    for (const event of events)
      if (event.type === 'word') starts.push({ position: event.text_position - 1, at: event.audio_position / 1000 })
    return false
  })
  const samples = new Int16Array(chunks.reduce((sum, chunk) => sum + chunk.length, 0))
  let at = 0
  for (const chunk of chunks) {
    samples.set(chunk, at)
    at += chunk.length
  }
  return trimClip({ samples, sampleRate: EMBEDDED_RATE, starts: wordStarts(request.words, starts) })
}

/** Start of each word of the request: the engine's events by place in the text; a word it runs together with the one before shares its start. */
function wordStarts(words: readonly string[], events: readonly { position: number; at: number }[]): (number | null)[] {
  let position = 0
  return words.map((word) => {
    const from = position
    position += [...word].length + 1
    const event = events.find((one) => one.position >= from && one.position < position)
    return event ? event.at : null
  })
}

port.on('message', async (message: WorkerRequest) => {
  try {
    const espeak = await (engine ??= start())
    if ('list' in message) {
      const voices = espeak
        .list_voices()
        .map((voice) => ({ id: voice.identifier, name: voice.name, language: voice.languages[0]?.name ?? '' }))
      port.postMessage({ id: message.id, voices } satisfies WorkerReply)
      return
    }
    const { samples, wordEnds } = speak(espeak, message.request)
    port.postMessage({ id: message.id, samples, wordEnds } satisfies WorkerReply, [samples.buffer as ArrayBuffer])
  } catch (error) {
    port.postMessage({ id: message.id, error: (error as Error).message } satisfies WorkerReply)
  }
})
