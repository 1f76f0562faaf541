import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readFileSync, rmSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { z } from 'zod'
import { audiblePart } from './audiblePart.ts'
import type { ExternalVoice } from './externalEngine.ts'
import { RATE, type Recordings } from './ownEngine.ts'
import { phrase } from './phrase.ts'
import { resample } from './resample.ts'
import { SpeechError } from './speechEngine.ts'
import { readWav, type Sound, writeWav } from './wav.ts'
import { writePieces } from './writePieces.ts'

const externalSchema = z
  .array(
    z.object({
      id: z.string().regex(/^[a-z0-9-]{1,40}$/),
      name: z.string().min(1).max(80),
      command: z.array(z.string().max(2000)).min(1).max(60),
    }),
  )
  .max(20)

/** Kept before and after a recording's sound, seconds. */
const AROUND = 0.03
const SHORTEST = 0.06
const LONGEST = 4
/** Share of samples at full scale above which a recording is overdriven. */
const OVERDRIVEN = 0.002

/** The crew's voices on disk: `external.json`, written by hand only, because a command run on this machine must never come over the network; `own/`, the recordings. */
export class VoiceFolder implements Recordings {
  private readonly folder: string
  private index: Map<string, string> | null = null

  constructor(folder: string) {
    this.folder = folder
  }

  /** External voices; throws SpeechError with what is wrong in external.json. */
  external(): readonly ExternalVoice[] {
    const file = join(this.folder, 'external.json')
    if (!existsSync(file)) return []
    try {
      return externalSchema.parse(JSON.parse(readFileSync(file, 'utf8')))
    } catch (error) {
      throw new SpeechError(
        `"${file}" cannot be used: ${(error as Error).message.split('\n')[0]}; docs/voices.md shows its form.`,
      )
    }
  }

  has(words: string): boolean {
    return this.own().has(words)
  }

  async sound(words: string): Promise<Sound | null> {
    const file = this.own().get(words)
    if (!file) return null
    try {
      return readWav(await readFile(join(this.folder, 'own', file)))
    } catch {
      return null
    }
  }

  /** Every recorded word and phrase. */
  recorded(): string[] {
    return [...this.own().keys()]
  }

  /** Changes with every recording: what names a joined clip. */
  revision(): string {
    return createHash('sha256')
      .update(JSON.stringify([...this.own()].sort()))
      .digest('hex')
      .slice(0, 12)
  }

  /** Keeps a recording of these words, cut to its sound. Rejects with SpeechError where it would not do: too quiet, overdriven, cut off, too long. */
  async record(words: string, sound: Sound): Promise<{ seconds: number }> {
    const name = phrase(words).join(' ')
    if (name === '' || name.length > 80) throw new SpeechError('These words cannot be recorded.')
    const seen = checked(name, sound)
    const bytes = writeWav(seen)
    const file = `${createHash('sha256').update(bytes).digest('hex').slice(0, 32)}.wav`
    mkdirSync(join(this.folder, 'own'), { recursive: true })
    await writePieces(join(this.folder, 'own', file), [bytes])
    await this.change((index) => index.set(name, file))
    return { seconds: seen.samples.length / seen.sampleRate }
  }

  /** Erases the recording of these words: a voice is a person's own. */
  async forget(words: string): Promise<void> {
    const file = this.own().get(words)
    if (!file) return
    await this.change((index) => index.delete(words))
    if (![...this.own().values()].includes(file)) rmSync(join(this.folder, 'own', file), { force: true })
  }

  private own(): Map<string, string> {
    if (this.index) return this.index
    try {
      const read = JSON.parse(readFileSync(join(this.folder, 'own', 'index.json'), 'utf8')) as Record<string, string>
      this.index = new Map(Object.entries(read).filter(([, file]) => /^[0-9a-f]{32}\.wav$/.test(file)))
    } catch {
      this.index = new Map()
    }
    return this.index
  }

  private async change(edit: (index: Map<string, string>) => void): Promise<void> {
    const index = new Map(this.own())
    edit(index)
    this.index = index
    const text = JSON.stringify(Object.fromEntries(index), null, 1)
    await writePieces(join(this.folder, 'own', 'index.json'), [new TextEncoder().encode(text)])
  }
}

function checked(name: string, sound: Sound): Sound {
  const part = audiblePart(sound)
  if (part === null)
    throw new SpeechError(`Nothing was heard of "${name}"; come nearer to the microphone and say it again.`)
  const seconds = (part.to - part.from) / sound.sampleRate
  if (seconds < SHORTEST) throw new SpeechError(`Only ${seconds.toFixed(2)} s were heard of "${name}"; say it again.`)
  if (seconds > LONGEST) throw new SpeechError(`${seconds.toFixed(1)} s is too long for "${name}"; say it alone.`)
  if (part.from === 0 || part.to >= sound.samples.length - sound.sampleRate * 0.005)
    throw new SpeechError(`"${name}" was cut off; say it when the word shows, then be still.`)
  let full = 0
  for (const sample of sound.samples) if (Math.abs(sample) >= 32_700) full++
  if (full > OVERDRIVEN * (part.to - part.from))
    throw new SpeechError(`"${name}" is overdriven; move back a little and say it again.`)
  const around = Math.round(AROUND * sound.sampleRate)
  const samples = sound.samples.slice(Math.max(0, part.from - around), part.to + around)
  return resample({ sampleRate: sound.sampleRate, samples }, RATE)
}
