import { availableParallelism } from 'node:os'
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

/** Requests that wait on one thread before another is started: starting one costs as much as this many calls. */
const QUEUE = 24

type Waiting = {
  readonly resolve: (reply: WorkerReply) => void
  readonly reject: (error: Error) => void
}

interface Thread {
  readonly worker: Worker
  readonly waiting: Map<number, Waiting>
  /** Runs out when nothing has come for too long; every answer winds it up again, however long the queue. */
  watch: NodeJS.Timeout | undefined
}

/**
 * The embedded voice (espeak-ng as WebAssembly) in threads of its own, so that a machine with nothing installed speaks. A reused engine is not
 * repeatable to the sample: what is played must be the very clip that was measured (see clipStore). Rate 80…450 words a minute. Further threads,
 * up to `threads` (at least 1; one a core by default, four at most), start when a queue is long.
 */
export function openEmbeddedEngine(options: { readonly threads?: number } = {}): SpeechEngine {
  const most = options.threads ?? Math.min(4, availableParallelism())
  if (!(Number.isInteger(most) && most >= 1))
    throw new RangeError(`openEmbeddedEngine: threads must be a whole number >= 1, got ${most}`)
  const threads: Thread[] = []
  let next = 1

  function fail(thread: Thread, message: string): void {
    const at = threads.indexOf(thread)
    if (at >= 0) threads.splice(at, 1)
    clearTimeout(thread.watch)
    for (const { reject } of thread.waiting.values()) reject(new SpeechError(message))
    thread.waiting.clear()
  }

  function windUp(thread: Thread): void {
    clearTimeout(thread.watch)
    if (thread.waiting.size === 0) return
    thread.watch = setTimeout(() => {
      fail(thread, 'The embedded voice did not answer in 30 s; try again.')
      void thread.worker.terminate()
    }, PATIENCE_MS)
  }

  function startThread(): Thread {
    const worker = new Worker(new URL('../worker.mjs', import.meta.url), {
      workerData: { module: new URL('./embeddedWorker.ts', import.meta.url).href },
    })
    const thread: Thread = { worker, waiting: new Map(), watch: undefined }
    worker.on('message', (reply: WorkerReply) => {
      const one = thread.waiting.get(reply.id)
      if (!one) return
      thread.waiting.delete(reply.id)
      windUp(thread)
      if (thread.waiting.size === 0) worker.unref()
      if ('error' in reply) one.reject(new SpeechError(reply.error))
      else one.resolve(reply)
    })
    worker.on('error', (error) => fail(thread, `The embedded voice stopped (${error.message}); try again.`))
    worker.unref()
    threads.push(thread)
    return thread
  }

  function leastBusy(): Thread {
    let best = threads[0] ?? startThread()
    for (const thread of threads) if (thread.waiting.size < best.waiting.size) best = thread
    return best.waiting.size >= QUEUE && threads.length < most ? startThread() : best
  }

  function ask(message: { readonly request: SpeechRequest } | { readonly list: true }): Promise<WorkerReply> {
    const id = next++
    const thread = leastBusy()
    thread.worker.ref()
    return new Promise((resolve, reject) => {
      thread.waiting.set(id, { resolve, reject })
      if (thread.waiting.size === 1) windUp(thread)
      thread.worker.postMessage({ id, ...message } satisfies WorkerRequest)
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
      for (const thread of [...threads]) {
        await thread.worker.terminate()
        fail(thread, 'The voice was closed.')
      }
    },
  }
}
