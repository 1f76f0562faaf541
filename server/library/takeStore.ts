import { randomBytes } from 'node:crypto'
import {
  closeSync,
  existsSync,
  fsyncSync,
  ftruncateSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  rmSync,
  statfsSync,
  statSync,
  writeSync,
} from 'node:fs'
import { join } from 'node:path'
import type { EpochTime } from '../units.ts'
import { LibraryError } from './stageLibrary.ts'
import { writeWhole } from './writeWhole.ts'

/** A take on disk: what it was read against, what was heard, and its sound. */
export interface StoredTake {
  readonly id: string
  readonly startedAt: EpochTime
  readonly about: Readonly<Record<string, unknown>>
  readonly heard: unknown
  readonly presses: unknown
  /** Samples on disk. */
  readonly samples: number
  readonly bytes: number
}

/** Bytes before the samples: RIFF/WAVE, mono, 16 bit PCM. */
const HEAD = 44
/** Longest take kept: two hours at 16 kHz. */
const MOST_BYTES = 2 * 3600 * 16_000 * 2
/** Below this a piece is refused in words rather than half written. */
const LEAST_FREE = 20 * 1024 * 1024

/**
 * Takes of a stage, in the folder `takes` of its own folder: ID.json, ID.wav, ID.heard.json. Sound comes in pieces, each written at its own place and synced,
 * so that a take cut off by a crash is there up to its last piece and a piece sent twice does no harm. Deleting a take erases its files; unlike stages they
 * do not go to the trash, because a voice is a person's own.
 */
export class TakeStore {
  private readonly folderOf: (stage: string) => string
  private readonly now: () => EpochTime

  constructor(folderOf: (stage: string) => string, now: () => EpochTime) {
    this.folderOf = folderOf
    this.now = now
  }

  create(stage: string, about: Readonly<Record<string, unknown>>, startedAt: EpochTime = this.now()): string {
    const folder = join(this.folderOf(stage), 'takes')
    const id = `${Math.round(startedAt)}-${randomBytes(3).toString('hex')}`
    this.guard(() => {
      mkdirSync(folder, { recursive: true })
      writeWhole(join(folder, `${id}.json`), JSON.stringify({ startedAt, about }))
    })
    return id
  }

  /** Samples (16 bit, little-endian) from sample `at` on. Pieces may come again; a gap before one is silence until it comes. */
  writeSound(stage: string, id: string, at: number, bytes: Uint8Array): number {
    const { about } = this.read(stage, id)
    if (!(Number.isInteger(at) && at >= 0) || bytes.length % 2 !== 0)
      throw new LibraryError('A piece of sound needs whole 16 bit samples and a place, a whole number from 0.', 400)
    const end = HEAD + 2 * at + bytes.length
    if (end > MOST_BYTES)
      throw new LibraryError('A take may be two hours long at most; what was recorded so far is kept.', 413)
    const file = this.path(stage, id, 'wav')
    this.guard(() => {
      const free = freeBytes(this.folderOf(stage))
      if (free !== null && free < LEAST_FREE) throw Object.assign(new Error('full'), { code: 'ENOSPC' })
      const handle = openSync(file, existsSync(file) ? 'r+' : 'w+')
      try {
        for (let done = 0; done < bytes.length; )
          done += writeSync(handle, bytes, done, bytes.length - done, HEAD + 2 * at + done)
        const size = Math.max(end, statSync(file).size)
        writeSync(handle, wavHead(size - HEAD, Number(about.sampleRate) || 16_000), 0, HEAD, 0)
        fsyncSync(handle)
      } finally {
        closeSync(handle)
      }
    })
    return at + bytes.length / 2
  }

  keepHeard(stage: string, id: string, heard: unknown): void {
    this.read(stage, id)
    this.guard(() => writeWhole(this.path(stage, id, 'heard.json'), JSON.stringify(heard)))
  }

  keepPresses(stage: string, id: string, presses: unknown): void {
    this.read(stage, id)
    this.guard(() => writeWhole(this.path(stage, id, 'presses.json'), JSON.stringify(presses)))
  }

  /** Oldest first. A take whose description is broken is passed over; its sound stays on disk. */
  list(stage: string): StoredTake[] {
    const folder = join(this.folderOf(stage), 'takes')
    if (!existsSync(folder)) return []
    return readdirSync(folder)
      .flatMap((name) => /^(\d+-[0-9a-f]{6})\.json$/.exec(name)?.[1] ?? [])
      .flatMap((id) => {
        try {
          return [this.read(stage, id)]
        } catch {
          return []
        }
      })
      .sort((a, b) => a.startedAt - b.startedAt || a.id.localeCompare(b.id))
  }

  /** Throws LibraryError 404 for no such take. */
  read(stage: string, id: string): StoredTake {
    const about = readJson(this.path(stage, id, 'json')) as { startedAt: number; about: Record<string, unknown> } | null
    if (about === null || typeof about.startedAt !== 'number' || typeof about.about !== 'object')
      throw new LibraryError(`There is no take "${id.slice(0, 40)}" of this stage.`, 404)
    const sound = this.path(stage, id, 'wav')
    const size = existsSync(sound) ? statSync(sound).size : 0
    const others = ['json', 'heard.json', 'presses.json'].map((end) => this.path(stage, id, end)).filter(existsSync)
    return {
      id,
      startedAt: about.startedAt,
      about: about.about,
      heard: readJson(this.path(stage, id, 'heard.json')),
      presses: readJson(this.path(stage, id, 'presses.json')),
      samples: Math.max(0, Math.floor((size - HEAD) / 2)),
      bytes: size + others.reduce((sum, file) => sum + statSync(file).size, 0),
    }
  }

  soundFile(stage: string, id: string): string {
    const file = this.path(stage, id, 'wav')
    if (!existsSync(file)) throw new LibraryError('This take has no sound.', 404)
    return file
  }

  /** Erases every file of the take. */
  erase(stage: string, id: string): void {
    this.read(stage, id)
    this.guard(() => {
      for (const end of ['wav', 'heard.json', 'presses.json', 'json']) {
        const file = this.path(stage, id, end)
        if (!existsSync(file)) continue
        // Emptied first: a name that something still holds open keeps no sound.
        const handle = openSync(file, 'r+')
        ftruncateSync(handle, 0)
        closeSync(handle)
        rmSync(file)
      }
    })
  }

  /** Bytes free on the stage's disk; null when the system does not say. */
  free(stage: string): number | null {
    return freeBytes(this.folderOf(stage))
  }

  private path(stage: string, id: string, end: string): string {
    if (!/^\d+-[0-9a-f]{6}$/.test(id))
      throw new LibraryError(`There is no take "${id.slice(0, 40)}" of this stage.`, 404)
    return join(this.folderOf(stage), 'takes', `${id}.${end}`)
  }

  private guard(write: () => void): void {
    try {
      write()
    } catch (error) {
      if (error instanceof LibraryError) throw error
      const code = (error as NodeJS.ErrnoException).code ?? 'unknown'
      throw new LibraryError(
        code === 'ENOSPC'
          ? 'The disk is full, so this piece of the take could not be kept here; what came before it is. Free some space; the browser keeps the rest and sends it again.'
          : `The take could not be written (${code}); what was recorded before is kept.`,
        507,
      )
    }
  }
}

function freeBytes(folder: string): number | null {
  try {
    const { bavail, bsize } = statfsSync(folder)
    return bavail * bsize
  } catch {
    return null
  }
}

function wavHead(data: number, rate: number): Uint8Array {
  const bytes = new Uint8Array(HEAD)
  const view = new DataView(bytes.buffer)
  bytes.set(Buffer.from('RIFF'), 0)
  view.setUint32(4, 36 + data, true)
  bytes.set(Buffer.from('WAVEfmt '), 8)
  view.setUint32(16, 16, true)
  view.setUint16(20, 1, true)
  view.setUint16(22, 1, true)
  view.setUint32(24, rate, true)
  view.setUint32(28, rate * 2, true)
  view.setUint16(32, 2, true)
  view.setUint16(34, 16, true)
  bytes.set(Buffer.from('data'), 36)
  view.setUint32(40, data, true)
  return bytes
}

function readJson(file: string): unknown {
  try {
    return JSON.parse(readFileSync(file, 'utf8'))
  } catch {
    return null
  }
}
