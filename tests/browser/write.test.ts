import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type Running, startServer } from '../../server/api/serve.ts'
import { hasShared, sharedPath } from '../sharedData.ts'

let library: string
let server: Running
let browser: Browser
let context: BrowserContext
let page: Page
let stage: string

const dictated = hasShared ? readFileSync(sharedPath('notes/dictated-fell.txt'), 'utf8') : ''
const key = hasShared ? readFileSync(sharedPath('notes/dictated-fell.key.txt'), 'utf8') : ''

const saved = async () => {
  const response = await fetch(`${server.address}/api/stages/${stage}`)
  return ((await response.json()) as { notes: string }).notes
}
const open = async () => {
  page = await context.newPage()
  await page.goto(`${server.address}/stages/${stage}/write`)
  await page.locator('.cm-content').waitFor({ timeout: 30_000 })
}
/** Text as the editor holds it: what it would save. */
const written = () => page.evaluate(() => document.querySelector('.cm-content')?.textContent ?? '')
const savedIs = (text: string) => expect.poll(saved, { timeout: 20_000, interval: 50 }).toBe(text)

beforeAll(async () => {
  library = mkdtempSync(join(tmpdir(), 'say-when-'))
  server = await startServer({
    port: 0,
    lan: false,
    library,
    engine: 'silent',
    now: () => 1_900_000_000,
    log: () => {},
  })
  browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] })
  context = await browser.newContext({ viewport: { width: 1280, height: 800 } })
  await context.grantPermissions(['clipboard-read', 'clipboard-write'], { origin: server.address })
  const made = await fetch(`${server.address}/api/stages`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ title: 'Fell', notes: '' }),
  })
  stage = ((await made.json()) as { id: string }).id
})

afterAll(async () => {
  await browser?.close()
  await server?.stop()
  rmSync(library, { recursive: true, force: true })
})

describe.skipIf(!hasShared)('dictated notes in the editor', () => {
  it('takes a paste byte for byte', async () => {
    await open()
    await page.evaluate((text) => navigator.clipboard.writeText(text), dictated)
    await page.locator('.cm-content').click()
    await page.keyboard.press('Control+v')
    await savedIs(dictated)
  })

  it('accepts every certain fix as one action', async () => {
    await page.getByRole('button', { name: /accept \d+ certain fix/ }).click({ timeout: 20_000 })
    await expect.poll(saved, { timeout: 20_000, interval: 50 }).not.toBe(dictated)
    const response = await fetch(`${server.address}/api/stages/${stage}`)
    expect(((await response.json()) as { settings: { dictated?: boolean } }).settings.dictated).toBe(true)
  })

  it('takes all of them back with one undo, byte for byte', async () => {
    await page.locator('.cm-content').press('Control+z')
    await savedIs(dictated)
  })

  it('has what was typed after the tab was killed before it was saved', async () => {
    await page.route('**/api/stages/*/notes', (route) => route.abort())
    await page.locator('.cm-content').press('Control+End')
    await page.keyboard.type(' and one more')
    await page.getByText(/kept in this browser/).waitFor({ timeout: 20_000 })
    await page.close({ runBeforeUnload: false })
    await open()
    expect(await written()).toContain('one more')
    await savedIs(`${dictated} and one more`)
  })

  it('turns the grades round and back with one undo', async () => {
    const before = await saved()
    await page.getByRole('button', { name: /renumber grades/ }).click()
    await expect.poll(saved, { timeout: 20_000, interval: 50 }).not.toBe(before)
    await page.locator('.cm-content').press('Control+z')
    await savedIs(before)
  })

  it('settles a change made elsewhere on the page', async () => {
    const { revision } = (await (await fetch(`${server.address}/api/stages/${stage}`)).json()) as { revision: number }
    await fetch(`${server.address}/api/stages/${stage}/notes`, {
      method: 'PUT',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ text: `${key}`, base: revision }),
    })
    await page.locator('.cm-content').press('Control+End')
    await page.keyboard.type(' here')
    await page.getByRole('button', { name: 'keep mine' }).click({ timeout: 20_000 })
    await expect.poll(saved, { timeout: 20_000, interval: 50 }).toContain(' here')
  })
})
