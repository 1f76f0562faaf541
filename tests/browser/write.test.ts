import { readFileSync } from 'node:fs'
import type { BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { StageDetail } from '../../server/api/wire.ts'
import { hasShared, sharedPath } from '../sharedData.ts'
import { type House, openHouse } from './openHouse.ts'

let house: House
let context: BrowserContext
let page: Page
let stage: string

const dictated = hasShared ? readFileSync(sharedPath('notes/dictated-fell.txt'), 'utf8') : ''
const key = hasShared ? readFileSync(sharedPath('notes/dictated-fell.key.txt'), 'utf8') : ''

const detail = () => house.ask<StageDetail>('GET', `/stages/${stage}`)
const saved = async () => (await detail()).notes
const open = async () => {
  page = await context.newPage()
  await page.goto(`${house.server.address}/stages/${stage}/write`)
  await page.locator('.cm-content').waitFor({ timeout: 30_000 })
}
/** Text as the editor holds it: what it would save. */
const written = () => page.evaluate(() => document.querySelector('.cm-content')?.textContent ?? '')
const savedIs = (text: string) => expect.poll(saved, { timeout: 20_000, interval: 50 }).toBe(text)

beforeAll(async () => {
  house = await openHouse()
  context = await house.browser.newContext({ viewport: { width: 1280, height: 800 } })
  await context.grantPermissions(['clipboard-read', 'clipboard-write'], { origin: house.server.address })
  stage = (await house.ask<StageDetail>('POST', '/stages', { title: 'Fell', notes: '' })).id
})

afterAll(() => house?.close())

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
    expect((await detail()).settings.dictated).toBe(true)
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
    const { revision } = await detail()
    await house.ask('PUT', `/stages/${stage}/notes`, { text: `${key}`, base: revision })
    await page.locator('.cm-content').press('Control+End')
    await page.keyboard.type(' here')
    await page.getByRole('button', { name: 'keep mine' }).click({ timeout: 20_000 })
    await expect.poll(saved, { timeout: 20_000, interval: 50 }).toContain(' here')
  })
})
