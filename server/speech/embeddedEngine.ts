import { Worker } from 'node:worker_threads'
import type { WorkerReply, WorkerRequest } from './embeddedWorker.ts'
import { type SpeechEngine, SpeechError, type SpeechRequest, type SpokenClip, type Voice } from './speechEngine.ts'

const SAMPLE_RATE = 22050
/** The engine's own limits, words a minute; it clamps without a word. */
const SLOWEST = 80
const QUICKEST = 450
const MOST_WORDS = 200
/** A call takes milliseconds; one that takes this long will not come. */
const PATIENCE_MS = 30_000

type Waiting = {
  readonly resolve: (reply: WorkerReply) => void
  readonly reject: (error: Error) => void
  readonly timer: NodeJS.Timeout
}

/**
 * The embedded voice (espeak-ng as WebAssembly) in a thread of its own, so that a machine with nothing installed speaks. A reused engine is not
 * repeatable to the sample: what is played must be the very clip that was measured (see clipStore). Rate 80…450 words a minute.
 */
export function openEmbeddedEngine(): SpeechEngine {
  let worker: Worker | null = null
  let next = 1
  const waiting = new Map<number, Waiting>()

  function fail(message: string): void {
    for (const { reject, timer } of waiting.values()) {
      clearTimeout(timer)
      reject(new SpeechError(message))
    }
    waiting.clear()
    worker = null
  }

  function thread(): Worker {
    if (worker) return worker
    const made = new Worker(new URL('../worker.mjs', import.meta.url), {
      workerData: { module: new URL('./embeddedWorker.ts', import.meta.url).href },
    })
    made.on('message', (reply: WorkerReply) => {
      const one = waiting.get(reply.id)
      if (!one) return
      clearTimeout(one.timer)
      waiting.delete(reply.id)
      if (waiting.size === 0) made.unref()
      if ('error' in reply) one.reject(new SpeechError(reply.error))
      else one.resolve(reply)
    })
    made.on('error', (error) => fail(`The embedded voice stopped (${error.message}); try again.`))
    made.unref()
    worker = made
    return made
  }

  function ask(message: { readonly request: SpeechRequest } | { readonly list: true }): Promise<WorkerReply> {
    const id = next++
    const to = thread()
    to.ref()
    return new Promise((resolve, reject) => {
      const timer = setTimeout(() => {
        fail('The embedded voice did not answer in 30 s; try again.')
        void to.terminate()
      }, PATIENCE_MS)
      waiting.set(id, { resolve, reject, timer })
      to.postMessage({ id, ...message } satisfies WorkerRequest)
    })
  }

  return {
    name: 'embedded',
    makesClips: true,
    async voices(): Promise<readonly Voice[]> {
      const reply = await ask({ list: true })
      return 'voices' in reply ? reply.voices : []
    },
    async speak(request): Promise<SpokenClip> {
      if (request.words.length === 0 || request.words.length > MOST_WORDS)
        throw new SpeechError(`A call of ${request.words.length} words cannot be spoken; it needs 1 to ${MOST_WORDS}.`)
      if (!(request.rate >= SLOWEST && request.rate <= QUICKEST))
        throw new SpeechError(`The voice speaks ${SLOWEST} to ${QUICKEST} words a minute, not ${request.rate}.`)
      const reply = await ask({ request })
      if (!('samples' in reply)) throw new SpeechError('The embedded voice gave no sound; try again.')
      if (reply.samples.length === 0)
        throw new SpeechError(`The embedded voice has no sound for "${request.words.join(' ')}".`)
      return { sampleRate: SAMPLE_RATE, samples: reply.samples, wordEnds: reply.wordEnds, timing: 'engine' }
    },
    async close() {
      await worker?.terminate()
      fail('The voice was closed.')
    },
  }
}
