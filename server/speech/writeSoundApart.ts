import { Worker } from 'node:worker_threads'
import type { SoundFileFacts, SoundFileOptions } from './soundFile.ts'
import type { SoundFileJob, SoundFileReply } from './soundFileWorker.ts'
import type { Sound } from './wav.ts'

/**
 * writeSoundFile in a thread of its own, so that a server goes on answering while half an hour of sound is levelled and coded. Aborting stops it between
 * two pieces, and the part file is gone before this rejects with the signal's reason. A full disk rejects with the system's error code.
 */
export function writeSoundApart(path: string, sound: Sound, options: SoundFileOptions): Promise<SoundFileFacts> {
  const { signal, onProgress, ...rest } = options
  if (signal?.aborted) return Promise.reject(signal.reason as Error)
  const job: SoundFileJob = { path, sound, options: rest }
  const worker = new Worker(new URL('../worker.mjs', import.meta.url), {
    workerData: { module: new URL('./soundFileWorker.ts', import.meta.url).href, job },
    // The caller's samples are of no use to it afterwards: moved, not copied.
    transferList: [sound.samples.buffer as ArrayBuffer],
  })
  const stop = () => worker.postMessage('stop')
  signal?.addEventListener('abort', stop, { once: true })
  return new Promise<SoundFileFacts>((resolve, reject) => {
    worker.on('message', (reply: SoundFileReply) => {
      if ('facts' in reply) resolve(reply.facts)
      else if ('error' in reply)
        reject(
          signal?.aborted
            ? signal.reason
            : Object.assign(new Error(reply.error), reply.code ? { code: reply.code } : {}),
        )
      else onProgress?.(reply.done, reply.total)
    })
    worker.on('error', reject)
    worker.on('exit', () => reject(new Error('writeSoundApart: the thread ended without an answer')))
  }).finally(() => signal?.removeEventListener('abort', stop))
}
