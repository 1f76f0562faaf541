import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Running, startServer } from '../../../server/api/serve.ts'
import type { StageDetail } from '../../../server/api/wire.ts'
import { gapFor } from '../../../server/drill/walk.ts'
import { readWav } from '../../../server/speech/wav.ts'
import { asking } from '../../askServer.ts'

const NOTES = '5 left, 60\n3 right long, 40\n6 left over crest, 100\n2 right tightens, 30\n4 left'
const NOW = Date.parse('2026-06-10T19:00Z') / 1000
let folder: string
let server: Running
let id: string

const ask = asking(() => server.address)
const begin = (title: string, notes = NOTES) => ask<StageDetail>('POST', '/stages', { title, notes })

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'say-when-walk-'))
  // The silent engine's clips are silence: this one is spoken.
  server = await startServer({
    port: 0,
    lan: false,
    library: folder,
    engine: 'embedded',
    now: () => NOW,
    log: () => {},
  })
  id = (await begin('Walk')).id
})
afterAll(async () => {
  await server.stop()
  rmSync(folder, { recursive: true, force: true })
})

const ffmpeg = spawnSync('ffmpeg', ['-version'], { stdio: 'ignore' }).error === undefined

describe('the audio-only session', () => {
  const walk = (query: string) => fetch(`${server.address}/api/stages/${id}/learn/walk?${query}`)

  it.each([
    ['wav', 0.05],
    // Coding smears the ends of words by some milliseconds.
    ...(ffmpeg ? [['mp3', 0.08] as const] : []),
  ] as const)('has in a %s file the gap before each answer that it promises', async (format, within) => {
    const bytes = new Uint8Array(await (await walk(`minutes=5&format=${format}`)).arrayBuffer())
    const { samples, sampleRate } = format === 'wav' ? readWav(bytes) : decoded(bytes)
    const runs = runsOf(samples, sampleRate)
    const gaps = runs.filter((run, i) => !run.loud && i < runs.length - 1)
    const said = runs.filter((run) => run.loud)
    expect(gaps).toHaveLength(5)
    gaps.forEach((gap, i) => {
      expect(Math.abs(gap.seconds - gapFor(said[i]!.seconds))).toBeLessThan(within)
    })
  })

  it('says which calls are on it, from where the ride stopped and round the end, and not the one that leads in', async () => {
    const more = { how: 'self', grade: 'in time', seconds: 3 }
    await ask('POST', `/stages/${id}/learn/answers`, { answers: [{ id: 'stopped-here', call: 2, ...more }] })
    expect((await walk('minutes=5')).headers.get('x-calls')).toBe('3-4,0-2')
  })

  it('is no file of an empty stage, and says so', async () => {
    const empty = await begin('Empty walk', '')
    const response = await fetch(`${server.address}/api/stages/${empty.id}/learn/walk`)
    expect([response.status, ((await response.json()) as { detail: string }).detail]).toEqual([
      422,
      expect.stringMatching(/neither notes nor a road/),
    ])
  })
})

/** Runs of sound and of silence longer than a second, in seconds. */
function runsOf(samples: Int16Array, sampleRate: number): { loud: boolean; seconds: number }[] {
  const runs: { loud: boolean; seconds: number }[] = []
  let from = 0
  const push = (loud: boolean, to: number) => {
    if (to > from) runs.push({ loud, seconds: (to - from) / sampleRate })
    from = to
  }
  let quiet = 0
  for (let i = 0; i <= samples.length; i++) {
    if (i < samples.length && Math.abs(samples[i]!) < QUIET) {
      quiet++
      continue
    }
    if (quiet > sampleRate || i === samples.length) {
      push(true, i - quiet)
      push(false, i)
    }
    quiet = 0
  }
  return runs
}
/** Of 32,768: what a coder leaves in silence is quieter. */
const QUIET = 40

function decoded(bytes: Uint8Array): { samples: Int16Array; sampleRate: number } {
  const { stdout } = spawnSync('ffmpeg', ['-v', 'error', '-i', '-', '-f', 's16le', '-ac', '1', '-ar', '22050', '-'], {
    input: bytes,
    maxBuffer: 1e9,
  })
  return { samples: new Int16Array(Uint8Array.from(stdout).buffer), sampleRate: 22_050 }
}
