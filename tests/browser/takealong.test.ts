import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type Browser, chromium, type Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Running, startServer } from '../../server/api/serve.ts'

const FLAGS = [
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--no-sandbox',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--autoplay-policy=no-user-gesture-required',
]
const library = mkdtempSync(join(tmpdir(), 'take-along-'))
let server: Running
let browser: Browser
let page: Page
let stage: string

beforeAll(async () => {
  server = await startServer({
    port: 0,
    lan: false,
    library,
    engine: 'embedded',
    now: () => 1_900_000_000,
    log: () => {},
  })
  const answer = await fetch(`${server.address}/api/demo`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: '{"which":"quarry-steps"}',
  })
  stage = (await answer.json()).id
  browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: FLAGS })
  page = await (await browser.newContext({ viewport: { width: 640, height: 400 } })).newPage()
})
afterAll(async () => {
  await browser?.close()
  await server?.stop()
  rmSync(library, { recursive: true, force: true })
})

describe('taking a stage along', () => {
  it('makes a sound file and hands it over', async () => {
    await page.goto(`${server.address}/stages/${stage}/take-along`)
    await page.getByRole('button', { name: 'Make the sound file' }).click()
    const link = page.getByRole('link', { name: /^Download, 3:/ })
    await link.waitFor({ timeout: 80_000 })
    const [download] = await Promise.all([page.waitForEvent('download'), link.click()])
    expect(download.suggestedFilename()).toBe('Quarry-Steps.mp3')
  })

  it('keeps the stage in the browser and rides it, from a reload, with the server stopped', async () => {
    await page.getByRole('button', { name: 'Keep it here' }).click()
    await page.getByText(/^Kept: \d+ calls/).waitFor({ timeout: 80_000 })
    await server.stop()
    await page.goto(`${server.address}/stages/${stage}/drive`)
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
