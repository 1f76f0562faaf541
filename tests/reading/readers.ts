import { spawnSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readFileSync, renameSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { resample } from '../../client/microphone/resample.ts'
import { readWav } from '../../server/speech/wav.ts'

/** A voice that reads takes: never the template's own, but for E0, the upper bound. */
export interface Reader {
  readonly name: string
  readonly program: 'espeak-ng' | 'flite'
  readonly voice: string
  /** Words a minute, or the stretch of a duration, at which it reads about as fast as a crew. */
  readonly pace: number
}

export const READERS: readonly Reader[] = [
  { name: 'E0', program: 'espeak-ng', voice: 'en', pace: 200 },
  { name: 'E1', program: 'espeak-ng', voice: 'en-us+f2', pace: 200 },
  { name: 'E2', program: 'espeak-ng', voice: 'en-gb-scotland+m3', pace: 200 },
  { name: 'E3', program: 'espeak-ng', voice: 'en-gb-x-rp+f4', pace: 200 },
  { name: 'E4', program: 'espeak-ng', voice: 'en-gb-x-gbcwmd+m7', pace: 200 },
  { name: 'F1', program: 'flite', voice: 'slt', pace: 0.8 },
  { name: 'F2', program: 'flite', voice: 'rms', pace: 0.8 },
  { name: 'F3', program: 'flite', voice: 'awb', pace: 0.8 },
  { name: 'F4', program: 'flite', voice: 'kal16', pace: 0.8 },
]

export const hasProgram = (program: Reader['program']): boolean =>
  spawnSync(program, ['--version'], { stdio: 'ignore' }).error === undefined

const kept = join(tmpdir(), 'say-when-readers')

/** What a reader says, trimmed, at 16 kHz. `quicker` multiplies the pace, `pitch` 0…99 moves the voice. Kept in the system's temporary folder. */
export function readWords(reader: Reader, words: string, quicker = 1, pitch = 50): Float32Array {
  const key = createHash('sha256')
    .update(JSON.stringify([2, reader, words, quicker.toFixed(2), Math.round(pitch)]))
    .digest('hex')
    .slice(0, 32)
  const file = join(kept, `${key}.wav`)
  if (!existsSync(file)) {
    mkdirSync(kept, { recursive: true })
    const part = `${file}.${process.pid}.part.wav`
    const made =
      reader.program === 'espeak-ng'
        ? spawnSync('espeak-ng', [
            ...['-v', reader.voice, '-s', String(Math.round(reader.pace * quicker))],
            ...['-p', String(Math.round(pitch)), '-w', part, '--', words],
          ])
        : spawnSync('flite', [
            ...['-voice', reader.voice, '--setf', `duration_stretch=${(reader.pace / quicker).toFixed(3)}`],
            ...['-t', words, '-o', part],
          ])
    if (made.status !== 0) throw new Error(`${reader.program} could not say "${words}": ${made.stderr}`)
    renameSync(part, file)
  }
  const { samples, sampleRate } = readWav(readFileSync(file))
  const sound = resample(
    Float32Array.from(samples, (v) => v / 32768),
    sampleRate,
    16_000,
  )
  return trimmed(sound)
}

/** Speech begins and ends where 5 ms stand within 36 dB of the loudest: flite's voices begin with a hiss that is none. */
function trimmed(sound: Float32Array): Float32Array {
  const slice = 80
  const loud: number[] = []
  for (let at = 0; at + slice <= sound.length; at += slice) {
    let peak = 0
    for (let i = at; i < at + slice; i++) peak = Math.max(peak, Math.abs(sound[i]!))
    loud.push(peak)
  }
  const limit = Math.max(...loud) * 10 ** (-36 / 20)
  const first = loud.findIndex((v) => v >= limit)
  const last = loud.findLastIndex((v) => v >= limit)
  return sound.slice(first * slice, (last + 1) * slice)
}
