import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { openEmbeddedEngine } from '../../server/speech/embeddedEngine.ts'
import { writeWav } from '../../server/speech/wav.ts'
import { type House, microphoneThatHears, openHouse } from './openHouse.ts'

const folder = mkdtempSync(join(tmpdir(), 'take-along-'))
let house: House
let page: Page
let stage: string

/** What the microphone hears: one word after another, each with room about it, over and over. */
async function speakIntoMicrophone(file: string): Promise<void> {
  const engine = openEmbeddedEngine()
  const pieces: Int16Array[] = []
  for (const word of ['left', 'right', 'three']) {
    const clip = await engine.speak({ words: [word], voice: 'en-us', rate: 180, pitch: 35 })
    pieces.push(clip.samples, new Int16Array(Math.round(22050 * 0.9)))
  }
  await engine.close()
  const samples = new Int16Array(pieces.reduce((sum, piece) => sum + piece.length, 0))
  let at = 0
  for (const piece of pieces) {
    samples.set(piece, at)
    at += piece.length
  }
  writeFileSync(file, writeWav({ sampleRate: 22050, samples }))
}

beforeAll(async () => {
  const heard = join(folder, 'heard.wav')
  await speakIntoMicrophone(heard)
  house = await openHouse({ engine: 'embedded', flags: microphoneThatHears(heard) })
  stage = (await house.ask<{ id: string }>('POST', '/demo', { which: 'tarn-hollow' })).id
  page = await (await house.browser.newContext({ viewport: { width: 640, height: 400 } })).newPage()
})
afterAll(async () => {
  await house?.close()
  rmSync(folder, { recursive: true, force: true })
})

describe('taking a stage along', () => {
  it('makes a sound file and hands it over', async () => {
    await page.goto(`${house.server.address}/stages/${stage}/take-along`)
    await page.getByRole('button', { name: 'Make the sound file' }).click()
    const link = page.getByRole('link', { name: /^Download, [67]:/ })
    await link.waitFor({ timeout: 80_000 })
    const [download] = await Promise.all([page.waitForEvent('download'), link.click()])
    expect(download.suggestedFilename()).toBe('Tarn-Hollow.mp3')
  })

  it('records the twelve most used words through the microphone', async () => {
    await page.goto(`${house.server.address}/stages/${stage}/voices`)
    await page.getByRole('button', { name: /^Record the next 12 words/ }).click({ timeout: 60_000 })
    await page.getByText(/^12 of \d+ words recorded/).waitFor({ timeout: 80_000 })
    const view = await (await fetch(`${house.server.address}/api/voices`)).json()
    expect(view.own).toHaveLength(12)
  })

  it('reads the stage with them', async () => {
    await page.getByLabel(/read this stage with my recorded words/).click()
    await page.getByText(/read this stage with my recorded words/).waitFor()
    await page.waitForFunction(
      () => document.querySelector<HTMLInputElement>('section[aria-labelledby=own] input')?.checked,
    )
    const detail = await (await fetch(`${house.server.address}/api/stages/${stage}`)).json()
    expect(detail.settings.voice).toMatch(/^own:/)
    await page.goto(`${house.server.address}/stages/${stage}/drive`)
    await page.getByRole('button', { name: 'start', exact: true }).click({ timeout: 80_000 })
    await page.waitForFunction(
      () => JSON.parse(document.querySelector('main')?.getAttribute('data-scheduled') ?? '[]').length > 0,
      undefined,
      { timeout: 40_000 },
    )
  })

  it('keeps the stage in the browser and rides it, from a reload, with the server stopped', async () => {
    await page.goto(`${house.server.address}/stages/${stage}/take-along`)
    await page.getByRole('button', { name: 'Keep it here' }).click()
    await page.getByText(/^Kept: \d+ calls/).waitFor({ timeout: 80_000 })
    await house.server.stop()
    await page.goto(`${house.server.address}/stages/${stage}/drive`)
    await page.reload()
    await page.getByRole('button', { name: 'start', exact: true }).click({ timeout: 60_000 })
    await page.waitForFunction(
      () => JSON.parse(document.querySelector('main')?.getAttribute('data-scheduled') ?? '[]').length > 1,
      undefined,
      { timeout: 40_000 },
    )
    const scheduled = JSON.parse((await page.locator('main').getAttribute('data-scheduled')) ?? '[]')
    expect(scheduled.every((one: { clip: string | null }) => one.clip !== null)).toBe(true)
  })
})
