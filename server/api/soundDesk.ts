import { randomUUID } from 'node:crypto'
import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { z } from 'zod'
import { LibraryError } from '../library/libraryError.ts'
import { soundOfRun } from '../rehearsal/soundOfRun.ts'
import type { BitRate } from '../speech/encode.ts'
import { writeSoundApart } from '../speech/writeSoundApart.ts'
import { countWords, runTags, SECTION } from '../takealong/runTags.ts'
import { problemOf } from './problems.ts'
import type { StageDesk } from './stageDesk.ts'
import { planRequestSchema } from './wire.ts'

export const soundRequestSchema = z.object({
  format: z.enum(['wav', 'mp3', 'ogg']).default('mp3'),
  plan: planRequestSchema.default({}),
  continuous: z.boolean().default(false),
  countIn: z.boolean().default(false),
  /** Metres; null for none. */
  ticks: z.number().min(10).max(10_000).nullable().default(null),
  /** LU below the voice; null for none. */
  noise: z.number().min(0).max(60).nullable().default(null),
  loudness: z.number().min(-70).max(-5).default(-23),
  bitrate: z.union([z.literal(64), z.literal(96), z.literal(128)]).default(64),
})
export type SoundRequest = z.infer<typeof soundRequestSchema>

/** How far a sound file is. `share` 0…1 of what it is `doing`. */
export interface SoundState {
  readonly id: string
  readonly state: 'working' | 'ready' | 'failed'
  readonly doing: 'speaking' | 'writing'
  readonly share: number
  readonly says: string | null
  readonly seconds: number | null
}

interface Job {
  state: SoundState
  readonly stop: AbortController
  readonly path: string
  readonly title: string
  readonly format: string
  done: Promise<void>
}

/** Finished files kept for download; older ones are erased. */
const KEPT = 6

/** Sound files being made for pages: one after another is begun, watched, stopped and fetched by its id. */
export class SoundDesk {
  private readonly jobs = new Map<string, Job>()
  private readonly desk: StageDesk
  private readonly folder: string
  private readonly random: () => number

  constructor(desk: StageDesk, folder: string, random: () => number) {
    this.desk = desk
    this.folder = folder
    this.random = random
  }

  begin(stage: string, request: SoundRequest): SoundState {
    if (request.continuous && (request.ticks !== null || request.noise !== null))
      throw new LibraryError('Ticks and cabin noise go with stage timing, not with calls one after another.', 400)
    const { title } = this.desk.library.read(stage)
    const working = [...this.jobs.values()].filter(({ state }) => state.state === 'working').length
    if (working >= 2) throw new LibraryError('Two sound files are being made; wait for one, or stop it.', 409)
    mkdirSync(this.folder, { recursive: true })
    const id = randomUUID()
    const state: SoundState = { id, state: 'working', doing: 'speaking', share: 0, says: null, seconds: null }
    const path = join(this.folder, `${id}.${request.format}`)
    const job: Job = {
      state,
      stop: new AbortController(),
      path,
      title,
      format: request.format,
      done: Promise.resolve(),
    }
    this.jobs.set(id, job)
    job.done = this.make(stage, request, job).catch((error) => {
      job.state = { ...job.state, state: 'failed', says: problemOf(error).detail }
    })
    this.forgetOldest()
    return state
  }

  state(id: string): SoundState {
    return this.job(id).state
  }

  /** Stops it, or erases what is ready; resolves when nothing of it is left. */
  async stop(id: string): Promise<void> {
    const job = this.job(id)
    job.stop.abort()
    await job.done
    rmSync(job.path, { force: true })
    this.jobs.delete(id)
  }

  file(id: string): { path: string; title: string; format: string } {
    const job = this.job(id)
    if (job.state.state !== 'ready') throw new LibraryError('This sound file is not ready yet.', 409)
    return job
  }

  private async make(stage: string, request: SoundRequest, job: Job): Promise<void> {
    const { signal } = job.stop
    const tell = (doing: SoundState['doing'], share: number) => {
      job.state = { ...job.state, doing, share }
    }
    const rehearsal = await this.desk.rehearse(stage, request.plan, (done, total) => tell('speaking', done / total))
    signal.throwIfAborted()
    const { voice, rate, pitch } = rehearsal.run
    const count = request.countIn
      ? await this.desk.clips.speakAll(countWords().map((words) => ({ words, voice, rate, pitch })))
      : []
    const units = this.desk.settings(this.desk.library.read(stage)).units
    const sound = await soundOfRun(rehearsal, (hash) => this.desk.clips.get(hash), {
      timing: request.continuous ? 'continuous' : 'stage',
      count: count.map(({ clip }) => clip),
      ticks: request.ticks,
      noise: request.noise,
      random: this.random,
      section: SECTION[units],
    })
    signal.throwIfAborted()
    const { seconds } = await writeSoundApart(job.path, sound, {
      format: request.format,
      tags: runTags(rehearsal, sound.chapters),
      loudness: request.loudness,
      bitrate: request.bitrate as BitRate,
      signal,
      onProgress: (done, total) => tell('writing', done / total),
    })
    job.state = { ...job.state, state: 'ready', share: 1, seconds }
  }

  private job(id: string): Job {
    const job = this.jobs.get(id)
    if (!job) throw new LibraryError('There is no such sound file; make it again.', 404)
    return job
  }

  private forgetOldest(): void {
    const finished = [...this.jobs.entries()].filter(([, { state }]) => state.state !== 'working')
    for (const [id, { path }] of finished.slice(0, Math.max(0, finished.length - KEPT))) {
      rmSync(path, { force: true })
      this.jobs.delete(id)
    }
  }
}
