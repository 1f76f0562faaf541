import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type House, openHouse } from './openHouse.ts'

let house: House
let page: Page

beforeAll(async () => {
  house = await openHouse({ engine: 'embedded' })
  page = await (await house.browser.newContext({ viewport: { width: 640, height: 400 } })).newPage()
})
afterAll(() => house?.close())

/** Calls given to the sound card so far, the last of each call where a change of plan moved it. */
async function sounded(from: Page): Promise<{ call: number; stage: number; audio: number }[]> {
  const all = JSON.parse((await from.locator('main').getAttribute('data-scheduled')) ?? '[]') as {
    call: number
    stage: number
    audio: number
  }[]
  return [...new Map(all.map((one) => [one.call, one])).values()]
}

describe('a newcomer rides the demo', () => {
  it('finds the cautions on the first screen', async () => {
    await page.goto(house.server.address)
    await page.getByText('never while driving on a road open to others').waitFor()
  })

  it('hears it and sees it move within three clicks', async () => {
    await page.getByRole('button', { name: 'Ride the demo stage' }).click()
    await page.getByRole('button', { name: 'start', exact: true }).click({ timeout: 60_000 })
    await page.getByRole('button', { name: 'pause', exact: true }).waitFor()
    await page.waitForFunction(
      () => (document.querySelector('main')?.getAttribute('data-scheduled') ?? '[]').length > 10,
      undefined,
      { timeout: 30_000 },
    )
    const first = await page.locator('.view').screenshot()
    await page.waitForFunction(
      () => /[1-9]\d* of|0\.0[3-9]|0\.[1-9]/.test(document.querySelector('.reading')?.textContent ?? ''),
      undefined,
      { timeout: 30_000 },
    )
    const later = await page.locator('.view').screenshot()
    expect(Buffer.compare(first, later)).not.toBe(0)
  })

  it('has every call given to the sound card at one distance from its planned time', async () => {
    const scheduled = JSON.parse((await page.locator('main').getAttribute('data-scheduled')) ?? '[]') as {
      stage: number
      audio: number
    }[]
    const lags = scheduled.map(({ stage, audio }) => audio - stage)
    expect(Math.max(...lags) - Math.min(...lags)).toBeLessThan(0.003)
  })

  it('goes on without a gap when the slider is moved while riding', async () => {
    const before = await sounded(page)
    const slider = page.getByRole('slider', { name: 'average' })
    await slider.focus()
    for (let i = 0; i < 4; i++) await page.keyboard.press('ArrowLeft')
    await page.getByText(/^Now at 7\d\.\d km\/h average\.$/).waitFor({ timeout: 30_000 })
    await page.waitForFunction(
      (seen) => JSON.parse(document.querySelector('main')?.getAttribute('data-scheduled') ?? '[]').at(-1).call > seen,
      before.at(-1)!.call + 2,
      { timeout: 60_000 },
    )
    // Every call once, none left out: the plan changed under way and nothing of the notes was lost or said twice.
    const calls = (await sounded(page)).map((one) => one.call)
    expect(calls).toEqual(calls.map((_, i) => calls[0]! + i))
    expect(await page.locator('main').getAttribute('data-status')).toBe('riding')
  })

  it('shows the place that does not fit, in words', async () => {
    await page.setViewportSize({ width: 1280, height: 800 })
    await page.getByRole('link', { name: 'Fit', exact: true }).click()
    await page.getByText(/one place does not fit/).waitFor({ timeout: 60_000 })
    expect(await page.locator('.crunches li').count()).toBe(1)
  })

  it('opens Write with the notes and the road beside them', async () => {
    await page.getByRole('link', { name: 'Write', exact: true }).click()
    await page.getByText('plan, north up').waitFor({ timeout: 30_000 })
    expect(await page.locator('.cm-content').textContent()).toContain('Tarn Hollow')
  })
})
