import { spawn } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { alignWords } from './alignWords.ts'
import { readAnyWav } from './readAnyWav.ts'
import { type SpeechEngine, SpeechError, type SpeechRequest, type SpokenClip } from './speechEngine.ts'
import { trimClip } from './trimClip.ts'
import type { Sound } from './wav.ts'

/**
 * A speech program of the crew's own choice. `command` is the program and its arguments, run without a shell; inside an argument `{rate}` is words a minute,
 * `{speed}` that against 175, `{slowness}` its inverse, `{pitch}` 0…100, and `{out}` a file to write to where the program cannot write to standard output.
 * The text never stands in an argument: it comes on standard input, letters, apostrophes and hyphens only.
 */
export interface ExternalVoice {
  readonly id: string
  readonly name: string
  readonly command: readonly string[]
}

const PATIENCE_MS = 20_000
const MOST_BYTES = 40 * 1024 * 1024
/** Rates a voice comes at, Hz. */
const LEAST_RATE = 8000
const MOST_RATE = 48_000
/** A word takes no less and no more than this, seconds at 200 words a minute: outside, the rate in the file's head is wrong or it is no speech. */
const LEAST_WORD = 0.04
const MOST_WORD = 2.5

export function openExternalEngine(voice: ExternalVoice, patienceMs: number = PATIENCE_MS): SpeechEngine {
  let rate: number | null = null
  const fault = (what: string) =>
    new SpeechError(`The external voice "${voice.name}" ${what}; mend its command, or choose the embedded voice.`)
  return {
    name: 'external',
    makesClips: true,
    voices: async () => [{ id: `external:${voice.id}`, name: voice.name, language: '' }],
    async speak(request: SpeechRequest): Promise<SpokenClip> {
      if (request.words.length === 0) throw new SpeechError('A call without words cannot be spoken.')
      const sound = soundOf(await run(voice, request, patienceMs, fault), fault)
      if (rate !== null && sound.sampleRate !== rate)
        throw fault(`gave sound at ${sound.sampleRate} Hz after ${rate} Hz`)
      const trimmed = trimClip({ ...sound, starts: request.words.map(() => null) })
      if (!trimmed.samples.some((sample) => Math.abs(sample) > 130)) throw fault('gave silence')
      const each = ((trimmed.samples.length / sound.sampleRate) * request.rate) / 200 / request.words.length
      if (!(each >= LEAST_WORD && each <= MOST_WORD))
        throw fault(
          `took ${each.toFixed(2)} s a word, which is no speech at the rate it states (${sound.sampleRate} Hz)`,
        )
      rate = sound.sampleRate
      const clip = { sampleRate: sound.sampleRate, samples: trimmed.samples }
      return { ...clip, wordEnds: alignWords(request.words, clip), timing: 'estimated' }
    },
    async close() {},
  }
}

function soundOf(bytes: Uint8Array, fault: (what: string) => SpeechError): Sound {
  let sound: Sound
  try {
    sound = readAnyWav(bytes)
  } catch (error) {
    throw fault(`gave ${bytes.length} bytes that are no sound (${(error as Error).message})`)
  }
  if (!(sound.sampleRate >= LEAST_RATE && sound.sampleRate <= MOST_RATE))
    throw fault(`gave sound at ${sound.sampleRate} Hz, outside ${LEAST_RATE} to ${MOST_RATE}`)
  return sound
}

/** Arguments with their places filled; numbers only, so that nothing of the text can reach them. */
export function fillCommand(voice: ExternalVoice, request: SpeechRequest, out: string): string[] {
  const places: Readonly<Record<string, string>> = {
    rate: String(Math.round(request.rate)),
    speed: (request.rate / 175).toFixed(3),
    slowness: (175 / request.rate).toFixed(3),
    pitch: String(Math.round(request.pitch)),
    out,
  }
  return voice.command.map((part) => part.replace(/\{(\w+)\}/g, (whole, name: string) => places[name] ?? whole))
}

async function run(
  voice: ExternalVoice,
  request: SpeechRequest,
  patienceMs: number,
  fault: (what: string) => SpeechError,
): Promise<Uint8Array> {
  const toFile = voice.command.some((part) => part.includes('{out}'))
  const folder = mkdtempSync(join(tmpdir(), 'say-when-voice-'))
  try {
    const out = join(folder, 'said.wav')
    const [program, ...argv] = fillCommand(voice, request, out)
    const printed = await output(program!, argv, `${request.words.join(' ')}\n`, patienceMs, fault)
    if (!toFile) return printed
    try {
      return readFileSync(out)
    } catch {
      throw fault('wrote no file')
    }
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

function output(
  program: string,
  argv: readonly string[],
  text: string,
  patienceMs: number,
  fault: (what: string) => SpeechError,
): Promise<Uint8Array> {
  return new Promise((resolve, reject) => {
    const child = spawn(program, argv, { shell: false, stdio: ['pipe', 'pipe', 'pipe'] })
    const pieces: Buffer[] = []
    let bytes = 0
    let says = ''
    const stop = (what: string) => {
      child.kill('SIGKILL')
      reject(fault(what))
    }
    const timer = setTimeout(() => stop(`did not finish in ${patienceMs / 1000} s and was ended`), patienceMs)
    child.stdout.on('data', (piece: Buffer) => {
      bytes += piece.length
      if (bytes > MOST_BYTES) stop('gave more than 40 MB for one call and was ended')
      else pieces.push(piece)
    })
    child.stderr.on('data', (piece: Buffer) => {
      if (says.length < 400) says += piece.toString('utf8')
    })
    child.once('error', (error: NodeJS.ErrnoException) => {
      clearTimeout(timer)
      reject(fault(error.code === 'ENOENT' ? `is not there ("${program}")` : `could not be started (${error.code})`))
    })
    child.once('close', (code) => {
      clearTimeout(timer)
      if (code === 0) resolve(Buffer.concat(pieces))
      else
        reject(
          fault(
            `failed (exit ${code}: ${
              says
                .replace(/[^\x20-\x7e]+/g, ' ')
                .trim()
                .slice(0, 120) || 'no words'
            })`,
          ),
        )
    })
    // A program that ends without reading its text breaks the pipe; its exit code says more.
    child.stdin.on('error', () => {})
    child.stdin.end(text)
  })
}
