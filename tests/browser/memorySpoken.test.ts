import { writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { PlanDocument, StageDetail } from '../../server/api/wire.ts'
import { resample } from '../../server/speech/resample.ts'
import { readWav, writeWav } from '../../server/speech/wav.ts'
import { type House, microphoneThatHears, openHouse } from './openHouse.ts'

const CALLS = ['5 left', '3 right long', '6 left over crest', '2 right tightens', '4 left', 'hairpin right']
/** The reader knows this one alone, and says it over and over: nobody can tell when a browser's pretended microphone begins. */
const KNOWN = 2
const EVERY = 6
const RATE = 48_000

let house: House
let page: Page
let id: string

const log = async () =>
  (await house.ask<{ lines: { how: string; grade: string | null }[] }>('GET', `/stages/${id}/learn/log`)).lines.slice(
    CALLS.length,
  )

beforeAll(async () => {
  house = await openHouse({ engine: 'embedded' })
  const notes = CALLS.map((call) => `${call}, 150`).join('\n')
  id = (await house.ask<StageDetail>('POST', '/stages', { title: 'Spoken', notes })).id
  await house.ask('POST', `/stages/${id}/learn/answers`, {
    answers: CALLS.map((_, call) => ({ id: `heard-once-${call}`, call, how: 'listen', seconds: 3 })),
  })
  // Makes the clips, as Drive does: the reader's voice here is the program's own.
  page = await house.browser.newPage()
  await page.goto(`${house.server.address}/stages/${id}/drive`)
  await page.getByRole('button', { name: 'start', exact: true }).waitFor({ timeout: 60_000 })
  await page.close()
  const { calls } = await house.ask<PlanDocument>('POST', `/stages/${id}/plan`, {})
  const clip = readWav(
    new Uint8Array(await (await fetch(`${house.server.address}/api/clips/${calls[KNOWN]!.clip}`)).arrayBuffer()),
  )
  const spoken = resample(clip, RATE).samples
  const samples = new Int16Array(RATE * EVERY * 12)
  for (let at = RATE; at + spoken.length < samples.length; at += RATE * EVERY) samples.set(spoken, at)
  const file = join(house.library, 'reader.wav')
  writeFileSync(file, writeWav({ samples, sampleRate: RATE }))
  const browser = await house.launch(microphoneThatHears(file))
  page = await (
    await browser.newContext({
      viewport: { width: 480, height: 640 },
      reducedMotion: 'reduce',
      permissions: ['microphone'],
    })
  ).newPage()
}, 120_000)
afterAll(() => house?.close())

describe('a ride from memory that is spoken', () => {
  it('keeps what was said before the voice as in time, and what was not said as no', { timeout: 120_000 }, async () => {
    await page.goto(`${house.server.address}/stages/${id}/drive?ride=memory`)
    await page.getByRole('button', { name: 'say it' }).click()
    await page.getByText('Say each call into the microphone').waitFor({ timeout: 30_000 })
    await page.getByRole('button', { name: 'start', exact: true }).click()
    await expect.poll(async () => (await log()).length, { timeout: 100_000 }).toBeGreaterThan(KNOWN + 1)
    expect((await log()).map((line) => [line.how, line.grade])).toEqual([
      ['voice', 'no'],
      ['voice', 'no'],
      ['voice', 'in time'],
      ['voice', 'no'],
    ])
  })
})
