import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type Browser, chromium, type Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Running, startServer } from '../../server/api/serve.ts'
import type { PlanDocument, StageDetail } from '../../server/api/wire.ts'
import { resample } from '../../server/speech/resample.ts'
import { readWav, writeWav } from '../../server/speech/wav.ts'
import { asking } from '../askServer.ts'

const CALLS = ['5 left', '3 right long', '6 left over crest', '2 right tightens', '4 left', 'hairpin right']
/** The reader knows this one alone, and says it over and over: nobody can tell when a browser's pretended microphone begins. */
const KNOWN = 2
const EVERY = 6
const RATE = 48_000

let library: string
let server: Running
let browser: Browser
let page: Page
let id: string

const ask = asking(() => server.address)
const log = async () =>
  (await ask<{ lines: { how: string; grade: string | null }[] }>('GET', `/stages/${id}/learn/log`)).lines.slice(
    CALLS.length,
  )

beforeAll(async () => {
  library = mkdtempSync(join(tmpdir(), 'say-when-spoken-'))
  server = await startServer({
    port: 0,
    lan: false,
    library,
    engine: 'embedded',
    now: () => 1_900_000_000,
    log: () => {},
  })
  const notes = CALLS.map((call) => `${call}, 150`).join('\n')
  id = (await ask<StageDetail>('POST', '/stages', { title: 'Spoken', notes })).id
  await ask('POST', `/stages/${id}/learn/answers`, {
    answers: CALLS.map((_, call) => ({ id: `heard-once-${call}`, call, how: 'listen', seconds: 3 })),
  })
  // Makes the clips, as Drive does: the reader's voice here is the program's own.
  browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox'] })
  page = await browser.newPage()
  await page.goto(`${server.address}/stages/${id}/drive`)
  await page.getByRole('button', { name: 'start', exact: true }).waitFor({ timeout: 60_000 })
  await browser.close()
  const { calls } = await ask<PlanDocument>('POST', `/stages/${id}/plan`, {})
  const clip = readWav(
    new Uint8Array(await (await fetch(`${server.address}/api/clips/${calls[KNOWN]!.clip}`)).arrayBuffer()),
  )
  const spoken = resample(clip, RATE).samples
  const samples = new Int16Array(RATE * EVERY * 12)
  for (let at = RATE; at + spoken.length < samples.length; at += RATE * EVERY) samples.set(spoken, at)
  const file = join(library, 'reader.wav')
  writeFileSync(file, writeWav({ samples, sampleRate: RATE }))
  browser = await chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: [
      ...['--no-sandbox', '--autoplay-policy=no-user-gesture-required', '--use-fake-ui-for-media-stream'],
      ...['--use-fake-device-for-media-stream', `--use-file-for-fake-audio-capture=${file}`],
    ],
  })
  page = await (
    await browser.newContext({
      viewport: { width: 480, height: 640 },
      reducedMotion: 'reduce',
      permissions: ['microphone'],
    })
  ).newPage()
}, 120_000)
afterAll(async () => {
  await browser?.close()
  await server?.stop()
  rmSync(library, { recursive: true, force: true })
})

describe('a ride from memory that is spoken', () => {
  it('keeps what was said before the voice as in time, and what was not said as no', { timeout: 120_000 }, async () => {
    await page.goto(`${server.address}/stages/${id}/drive?ride=memory`)
    await page.getByRole('button', { name: 'say it' }).click()
    await page.getByText('Say each call into the microphone').waitFor({ timeout: 30_000 })
    await page.getByRole('button', { name: 'start', exact: true }).click()
    for (;;) {
      if ((await log()).length > KNOWN + 1) break
      await page.waitForTimeout(200)
    }
    expect((await log()).map((line) => [line.how, line.grade])).toEqual([
      ['voice', 'no'],
      ['voice', 'no'],
      ['voice', 'in time'],
      ['voice', 'no'],
    ])
  })
})
