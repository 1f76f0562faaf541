import { parentPort, workerData } from 'node:worker_threads'
import { type SoundFileFacts, type SoundFileOptions, writeSoundFile } from './soundFile.ts'
import type { Sound } from './wav.ts'

export interface SoundFileJob {
  readonly path: string
  readonly sound: Sound
  readonly options: Omit<SoundFileOptions, 'signal' | 'onProgress'>
}
export type SoundFileReply =
  | { readonly done: number; readonly total: number }
  | { readonly facts: SoundFileFacts }
  | { readonly error: string; readonly code?: string }

const stop = new AbortController()
const port = parentPort!
port.once('message', () => stop.abort())
const job = workerData.job as SoundFileJob
const say = (reply: SoundFileReply) => port.postMessage(reply)
try {
  const facts = await writeSoundFile(job.path, job.sound, {
    ...job.options,
    signal: stop.signal,
    onProgress: (done, total) => say({ done, total }),
  })
  say({ facts })
} catch (error) {
  const { message, code } = error as NodeJS.ErrnoException
  say({ error: message, ...(typeof code === 'string' ? { code } : {}) })
}
port.close()
