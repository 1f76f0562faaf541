import { join } from 'node:path'
import AxeBuilder from '@axe-core/playwright'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { PlanDocument, StageDetail } from '../../server/api/wire.ts'
import type { TakeDetail, TakesView } from '../../server/api/wireTakes.ts'
import { TakeStore } from '../../server/library/takeStore.ts'
import { syllablesOf } from '../../server/rehearsal/scoreTake.ts'
import { takesOfAStage } from '../reading/takesOfAStage.ts'
import { type House, openHouse } from './openHouse.ts'

/** Where pictures are put when somebody wants to look: SHOTS=folder. */
const SHOTS = process.env.SHOTS

let house: House
let page: Page
let stage: string

const shot = async (name: string) => {
  if (SHOTS) await page.screenshot({ path: join(SHOTS, `${name}.png`), fullPage: true })
}
const faults = async () =>
  (await new AxeBuilder({ page }).analyze()).violations.map(
    (one) => `${one.id}: ${one.nodes.map((node) => node.target).join(' ')}`,
  )

beforeAll(async () => {
  house = await openHouse({ engine: 'embedded' })
  stage = (await house.ask<StageDetail>('POST', '/demo', {})).id
  const plan = await house.ask<PlanDocument>('POST', `/stages/${stage}/plan`, {})
  const takes = new TakeStore(
    (id) => join(house.library, 'stages', id),
    () => 0,
  )
  takesOfAStage(takes, stage, plan, { count: 30, days: 10, from: 1_899_000_000, syllables: syllablesOf })
  const context = await house.browser.newContext({ viewport: { width: 1280, height: 800 }, reducedMotion: 'reduce' })
  page = await context.newPage()
  page.on('dialog', (dialog) => void dialog.accept())
})

afterAll(() => house?.close())

describe('results of thirty takes over ten days', () => {
  it('names the places that go wrong take after take', async () => {
    await page.goto(`${house.server.address}/stages/${stage}/results`)
    await page.getByText('Where it goes wrong every time').waitFor({ timeout: 30_000 })
    const { report } = await house.ask<TakesView>('GET', `/stages/${stage}/takes`)
    const first = page
      .locator('table', { has: page.getByText('usual start') })
      .first()
      .locator('tbody tr')
      .first()
    expect(await first.textContent()).toContain(report.places[0]!.say)
    await shot('results-wide')
  })

  it('has a table beside every chart, ten days in one of them', async () => {
    expect(await page.locator('canvas').count()).toBe(2)
    const days = page.locator('section', { has: page.getByRole('heading', { name: 'Day by day' }) })
    expect(await days.locator('tbody tr').count()).toBe(10)
  })

  it('shows no accessibility fault axe knows of, light and dark, wide and narrow', async () => {
    for (const colorScheme of ['light', 'dark'] as const) {
      for (const width of [1280, 390]) {
        await page.emulateMedia({ colorScheme })
        await page.setViewportSize({ width, height: 800 })
        expect(await faults()).toEqual([])
        expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true)
        await shot(`results-${colorScheme}-${width}`)
      }
    }
    await page.setViewportSize({ width: 1280, height: 800 })
  })

  it('offers a place to listen to again, with its odds and no verdict', async () => {
    const place = page.locator('section', { has: page.getByRole('heading', { name: 'Listen here' }) }).locator('li')
    expect(await place.count()).toBe(1)
    expect(await place.textContent()).toMatch(/perhaps .other words., about 4 to 1/)
    await place.getByRole('button', { name: 'hear it' }).click()
    await expect
      .poll(() => place.evaluate((one) => one.closest('section')!.querySelector('audio')!.seeking))
      .toBe(false)
  })

  it('compares two takes', async () => {
    await page.getByLabel('compare with').selectOption({ index: 5 })
    await page.getByText('The other take (rings)').waitFor()
    expect(await page.locator('svg.timeline circle').count()).toBeGreaterThan(20)
  })

  it('plays a take on the moving road, each call with its verdict as it is said', async () => {
    const { takes } = await house.ask<TakesView>('GET', `/stages/${stage}/takes`)
    const { score } = await house.ask<TakeDetail>('GET', `/stages/${stage}/takes/${takes.at(-1)!.id}`)
    const lines = score!.calls.filter((call) => call.start !== null).map((call) => `${call.say}: ${call.verdict}`)
    await page.getByRole('button', { name: 'play it on the road' }).click()
    await page.locator('.replay audio').waitFor({ timeout: 60_000 })
    const before = await page.locator('.replay .view').screenshot()
    await page.locator('.replay audio').focus()
    await page.keyboard.press('Space')
    const line = page.locator('.replay .lead')
    await expect.poll(() => line.textContent(), { timeout: 30_000 }).toBe(lines[1])
    expect(Buffer.compare(before, await page.locator('.replay .view').screenshot())).not.toBe(0)
    await page.getByRole('button', { name: 'play it on the road' }).click()
  })

  it('exports every call of every take as CSV', async () => {
    const csv = await (await fetch(`${house.server.address}/api/stages/${stage}/takes/all.csv`)).text()
    const { takes } = await house.ask<TakesView>('GET', `/stages/${stage}/takes`)
    expect(csv.trimEnd().split('\r\n')).toHaveLength(1 + takes.reduce((sum, take) => sum + take.score!.calls.length, 0))
  })

  it('erases a take, sound and all', async () => {
    const before = await house.ask<TakesView>('GET', `/stages/${stage}/takes`)
    await page.getByRole('button', { name: 'erase', exact: true }).first().click()
    await expect
      .poll(async () => (await house.ask<TakesView>('GET', `/stages/${stage}/takes`)).takes.length)
      .toBe(before.takes.length - 1)
    const gone = before.takes.at(-1)!.id
    expect((await fetch(`${house.server.address}/api/stages/${stage}/takes/${gone}/sound`)).status).toBe(404)
  })

  it('changes Fit by "use my pace"', async () => {
    const before = await house.ask<PlanDocument>('POST', `/stages/${stage}/plan`, {})
    await page.getByRole('button', { name: 'use my pace' }).click()
    await page.getByText(/Fit plans on 5\.\d\d syllables a second/).waitFor()
    const after = await house.ask<PlanDocument>('POST', `/stages/${stage}/plan`, {})
    const spoken = (plan: PlanDocument) => plan.calls.reduce((sum, call) => sum + call.end - call.start, 0)
    expect(after.speech).toBe('pace')
    expect(Math.abs(spoken(after) / spoken(before) - 1)).toBeGreaterThan(0.02)
    await shot('results-pace')
    await page.getByRole('link', { name: 'See Fit' }).click()
    await page.locator('.fit .lead').waitFor({ timeout: 60_000 })
    await shot('fit-own-pace')
  })

  it('reads aloud on a page without faults, wide and narrow', async () => {
    await page.goto(`${house.server.address}/stages/${stage}/read`)
    await page.getByRole('button', { name: 'use the microphone' }).waitFor({ timeout: 90_000 })
    for (const width of [1280, 390]) {
      await page.setViewportSize({ width, height: 800 })
      expect(await faults()).toEqual([])
      expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true)
      await shot(`read-${width}`)
    }
  }, 120_000)

  it('says in words that there is no microphone', async () => {
    await page.getByRole('button', { name: 'use the microphone' }).click()
    await page.getByText(/No microphone is plugged in|was refused/).waitFor()
  })

  it('lets the driver act on a take of their own: presses are set against act-by', async () => {
    await page.setViewportSize({ width: 1280, height: 800 })
    await page.goto(`${house.server.address}/stages/${stage}/results`)
    await page.getByRole('link', { name: 'act on it as the driver' }).click({ timeout: 60_000 })
    await page.getByText(/Listen to the take of/).waitFor({ timeout: 120_000 })
    await page.getByRole('button', { name: 'start', exact: true }).click()
    const ride = page.locator('main[data-status=riding]')
    await ride.waitFor()
    // Some calls have gone by before the press.
    await page.locator('.reading.left .figure', { hasText: /^0:0[4-9]/ }).waitFor({ timeout: 60_000 })
    await page.keyboard.press('Space')
    await page.getByRole('button', { name: 'act now (1)' }).waitFor()
    await page.getByRole('button', { name: 'end', exact: true }).click()
    await page.locator('table.acted tbody tr').first().waitFor()
    await page.getByText(/of \d+ calls acted on/).waitFor()
    await shot('acted')
  }, 240_000)
})
