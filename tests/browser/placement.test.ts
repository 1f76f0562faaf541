import { fileURLToPath } from 'node:url'
import type { BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { PlacementView, StageDetail } from '../../server/api/wire.ts'
import { faultsInEveryDress } from './faultsInEveryDress.ts'
import { type House, openHouse } from './openHouse.ts'

const GPX = fileURLToPath(new URL('../../routes-demo/skerry-road/route.gpx', import.meta.url))
/** Pictures to look at are written here when asked for. */
const PICTURES = process.env.PICTURES

let house: House
let context: BrowserContext
let page: Page
let stage = ''
/** The call that is put elsewhere by hand. */
let call = 0

const ask = <T>(path: string, body?: unknown) =>
  house.ask<T>(body === undefined ? 'GET' : 'POST', `/stages/${stage}${path}`, body)
const placed = async () => (await ask<PlacementView>('/placement')).placement.calls[call]!
const plannedFor = async () => {
  const plan = await ask<{ calls: { index: number; station: number; latest: number; elements: unknown }[] }>(
    '/plan',
    {},
  )
  const { station, latest, elements } = plan.calls.find((one) => one.index === call)!
  return { station, latest, elements }
}
const picture = async (name: string) => {
  if (PICTURES) await page.screenshot({ path: `${PICTURES}/${name}.png`, fullPage: true })
}

beforeAll(async () => {
  house = await openHouse()
  context = await house.browser.newContext({ viewport: { width: 1280, height: 800 } })
  page = await context.newPage()
  page.setDefaultTimeout(20_000)
})

afterAll(() => house?.close())

describe('a road without notes', () => {
  it('comes in as a file and offers a draft', async () => {
    await page.goto(house.server.address)
    await page.locator('input[type="file"]').setInputFiles(GPX)
    await page.getByRole('button', { name: 'Begin', exact: true }).click()
    await page.waitForURL(/\/stages\/[^/]+/)
    stage = /\/stages\/([^/]+)/.exec(page.url())![1]!
    await page.goto(`${house.server.address}/stages/${stage}/write`)
    await page.getByRole('button', { name: 'draft notes from the road' }).click()
    await expect
      .poll(async () => (await ask<StageDetail>('')).notes, { timeout: 20_000 })
      .toMatch(/^# DRAFT drawn up from the road/)
  })

  it('shows each drafted call as words on the map', async () => {
    await page.locator('.plan .word').first().waitFor()
    await page.getByRole('heading', { name: /Notes (and road agree|against road)/ }).waitFor()
    expect(await page.locator('.plan .word').count()).toBeGreaterThan(5)
  })

  it('lays no word over another, a figure or the edge', async () => {
    const boxes = await page
      .locator('.plan text')
      .evaluateAll((texts) => texts.map((one) => (one as SVGGraphicsElement).getBBox()))
    const width = await page.locator('.plan').evaluate((plan) => plan.clientWidth || plan.getBoundingClientRect().width)
    const over = boxes.filter((one) => one.x < 0 || one.x + one.width > width + 1)
    const onto = boxes.filter((a, i) =>
      boxes.some(
        (b, k) =>
          k > i && a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height - 4 && b.y < a.y + a.height - 4,
      ),
    )
    expect([over.length, onto.length]).toEqual([0, 0])
    await picture('wide-light')
  })
})

describe('a call put elsewhere by hand', () => {
  it('is dragged along the map, and the plan follows', async () => {
    const word = page.locator('.plan .word').nth(4)
    call = Number(await word.getAttribute('data-call'))
    const before = await plannedFor()
    const from = await placed()
    const box = (await word.boundingBox())!
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2)
    await page.mouse.down()
    await page.mouse.move(box.x + box.width / 2 + 60, box.y + box.height / 2 + 40, { steps: 6 })
    await page.locator('.plan .held').waitFor()
    await page.mouse.up()
    await expect.poll(async () => (await placed()).by, { timeout: 20_000 }).toBe('anchor')
    expect((await placed()).from).not.toBe(from.from)
    expect(await plannedFor()).not.toEqual(before)
  })

  it('is put by keyboard at a station, and says so', async () => {
    const word = page.locator(`.plan .word[data-call="${call}"]`)
    await word.waitFor()
    await word.click()
    const station = page.getByLabel('station in metres')
    const there = Math.round((await placed()).from) + 40
    await station.fill(String(there))
    await station.press('Enter')
    await expect.poll(async () => Math.abs((await placed()).from - there), { timeout: 20_000 }).toBeLessThan(60)
    await page.getByText('put there by hand').waitFor()
  })

  it('is there again after a reload, with the notes', async () => {
    const before = { placed: await placed(), notes: (await ask<StageDetail>('')).notes }
    await page.reload()
    await page.locator('.plan .word').first().waitFor()
    expect({ placed: await placed(), notes: (await ask<StageDetail>('')).notes }).toEqual(before)
    expect(before.placed.by).toBe('anchor')
  })

  it('goes back to the road when asked', async () => {
    // Line 1 says that it is a draft, so call n is on line n + 2.
    await page
      .locator('.cm-line')
      .nth(call + 1)
      .click()
    await page.getByRole('button', { name: 'let the road decide' }).click()
    await expect.poll(async () => (await placed()).by, { timeout: 20_000 }).toBe('feature')
  })
})

describe('the page', () => {
  it('zooms by its buttons', async () => {
    const d = () => page.locator('.plan .road').getAttribute('d')
    const before = await d()
    await page.getByRole('button', { name: 'nearer' }).click()
    expect(await d()).not.toBe(before)
    await page.getByRole('button', { name: 'whole road' }).click()
    expect(await d()).toBe(before)
  })

  it('jumps from a finding to its call', async () => {
    const wrong = (await ask<StageDetail>('')).notes.replace(/^(\d) left/m, '$1 right')
    const { revision } = await ask<StageDetail>('')
    await house.ask('PUT', `/stages/${stage}/notes`, { text: wrong, base: revision })
    await page.reload()
    await page.locator('li[data-code="direction-wrong"] button').first().click()
    await page.locator('.note-lit').first().waitFor()
    await picture('findings')
  })

  it('marks the crests that only the notes tell of as drawn', async () => {
    const { notes, revision } = await ask<StageDetail>('')
    const crest = notes.split('\n').map((line) => line.replace(/^(\d (?:left|right))(?!.*crest)/, '$1 over crest'))
    await house.ask('PUT', `/stages/${stage}/notes`, { text: crest.join('\n'), base: revision })
    await page.reload()
    await page.getByText(/crests drawn from the notes, where the heights show none/).waitFor()
    expect(await page.locator('.land-drawn').count()).toBeGreaterThan(3)
    await picture('drawn-crests')
    const back = await ask<StageDetail>('')
    await house.ask('PUT', `/stages/${stage}/notes`, { text: notes, base: back.revision })
    await page.reload()
  })

  it('has no fault that axe can see, wide and narrow, light and dark', async () => {
    expect(await faultsInEveryDress(page, '.map', picture)).toEqual([])
  })
})
