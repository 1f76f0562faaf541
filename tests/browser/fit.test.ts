import AxeBuilder from '@axe-core/playwright'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type House, openHouse } from './openHouse.ts'

const SOON = { timeout: 60_000 }

let house: House
let page: Page

beforeAll(async () => {
  house = await openHouse({ engine: 'embedded' })
  page = await (await house.browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage()
  await page.goto(house.server.address)
  await page.getByRole('button', { name: 'Ride the demo stage' }).click()
  await page.getByRole('link', { name: 'Fit', exact: true }).click(SOON)
  await page.getByText(/one place does not fit/).waitFor(SOON)
})

afterAll(() => house?.close())

/** The slider as a person with a keyboard moves it: a tenth a press. */
async function press(key: string, times: number): Promise<void> {
  await page.getByRole('slider', { name: 'target average' }).focus()
  for (let i = 0; i < times; i++) await page.keyboard.press(key)
}

describe('a crew fits a stage to a speed', () => {
  it('is rid of the crunch by going slower', async () => {
    await press('ArrowLeft', 40)
    await page.locator('.crunches li').waitFor({ state: 'detached', ...SOON })
    expect(await page.locator('.lead').textContent()).toMatch(/everything fits\./)
  })

  it('meets it again on the way up', async () => {
    await press('ArrowRight', 45)
    await page.getByText(/one place does not fit/).waitFor(SOON)
    expect(await page.locator('.crunches li').count()).toBe(1)
  })

  it('explains a call in a sentence with its numbers', async () => {
    await page.locator('.crunches').getByRole('button', { name: 'show' }).click()
    const why = page.locator('section[aria-live] p').filter({ hasText: /\d+(\.\d+)? (s|m)\b.*\.$/ })
    await why.first().waitFor(SOON)
    expect(await why.count()).toBeGreaterThan(0)
  })

  it('mends it by the first way out, in one click', async () => {
    await page.locator('.crunches button.way').first().click()
    await page.locator('.crunches li').waitFor({ state: 'detached', ...SOON })
    expect(await page.getByText('Agreed for this stage').count()).toBe(1)
  })

  it('has it back by undo', async () => {
    await page.getByRole('button', { name: 'undo' }).click()
    await page.locator('.crunches li').waitFor(SOON)
    expect(await page.getByText('Agreed for this stage').count()).toBe(0)
  })

  it('keeps what was agreed with the stage', async () => {
    await page.locator('.crunches button.way').first().click()
    await page.locator('.kept li').first().waitFor(SOON)
    await page.reload()
    await page.getByText('Agreed for this stage').waitFor(SOON)
    expect(await page.locator('.crunches li').count()).toBe(0)
  })

  it('shows what a crew’s own pace changes', async () => {
    await page.getByRole('combobox', { name: 'read by' }).selectOption('me')
    await page.getByText(/syllables a second, not from the voice/).waitFor(SOON)
    for (let i = 0; i < 20; i++) await page.getByRole('button', { name: 'less my pace' }).click()
    await page.locator('.crunches li').first().waitFor(SOON)
    expect(await page.getByText(/NaN|undefined|Infinity/).count()).toBe(0)
  })

  it('sorts the wordings by a column’s head', async () => {
    const head = page.getByRole('columnheader', { name: 'words/s' })
    await head.getByRole('button').click()
    await page.keyboard.press('Enter')
    expect(await head.getAttribute('aria-sort')).toBe('descending')
    const paces = (await page.locator('tbody tr td:first-of-type').allTextContents()).slice(0, 3).map(Number)
    expect(paces).toEqual([...paces].sort((a, b) => b - a))
  })

  it('has nothing serious against it by axe', async () => {
    await page.locator('.sweep canvas').waitFor(SOON)
    const { violations } = await new AxeBuilder({ page }).analyze()
    expect(
      violations.filter(({ impact }) => impact === 'serious' || impact === 'critical').map(({ id }) => id),
    ).toEqual([])
  })
})
