import { AxeBuilder } from '@axe-core/playwright'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { LearnView } from '../../server/api/learnWire.ts'
import type { StageDetail } from '../../server/api/wire.ts'
import { type House, openHouse } from './openHouse.ts'

const CALLS = [
  '5 left',
  '3 right long',
  '6 left over crest',
  '2 right tightens',
  '4 left',
  'hairpin right',
  '5 right opens',
  'square left',
  '6 right short',
  '3 left',
]
const NOTES = CALLS.map((call) => `${call}, 80`).join('\n')
const EVENING = Date.parse('2026-06-10T18:00Z') / 1000

let now = EVENING
let house: House
let page: Page
let id: string

beforeAll(async () => {
  house = await openHouse({ now: () => now })
  id = (await house.ask<StageDetail>('POST', '/stages', { title: 'Ten calls', notes: NOTES })).id
  page = await (
    await house.browser.newContext({ viewport: { width: 1280, height: 800 }, timezoneId: 'Europe/London' })
  ).newPage()
})
afterAll(() => house?.close())

const view = () => house.ask<LearnView>('GET', `/stages/${id}/learn`)
const met = async () => (await view()).calls.reduce((sum, call) => sum + call.met, 0)

/** Goes by keys through `count` items: reads what is new, types what is asked, yes to a check. The focus must be where the next key belongs. */
async function drillByKeys(count: number): Promise<void> {
  for (let i = 0; i < count; i++) {
    const before = await met()
    const call = Number(await page.locator('.card').getAttribute('data-call'))
    if (await page.getByText('This one is checked').isVisible()) {
      await page.keyboard.press('Enter')
      await page.locator('.card input').waitFor()
    }
    if (await page.locator('.card input').isVisible()) {
      await page.keyboard.type(CALLS[call]!)
      await page.keyboard.press('Enter')
      await page.getByRole('button', { name: 'next', exact: true }).waitFor()
    }
    expect(await met()).toBe(before + ((await page.getByText('read it aloud once').isVisible()) ? 0 : 1))
    await page.keyboard.press('Enter')
    await page.waitForFunction(
      (last) =>
        !document.querySelector('.card')?.textContent?.includes('Right') &&
        document.querySelector('.card')?.getAttribute('data-call') !== last,
      String(call),
    )
  }
}

describe('ten calls over three evenings', () => {
  it('are learnt by keyboard alone, and the forecast rises', { timeout: 240_000 }, async () => {
    await page.goto(`${house.server.address}/stages/${id}/learn`)
    await page.getByText('Say when it is driven').click()
    await page.getByLabel('Event', { exact: true }).fill('Autumn round')
    await page.getByLabel('day', { exact: true }).fill('2026-06-15')
    await page.getByRole('button', { name: 'keep' }).click()
    await page.getByText('before the start').waitFor()
    const stopped: number[] = []
    for (let day = 0; day < 3; day++) {
      now = EVENING + day * 86_400
      await page.reload()
      await page.locator('.card').waitFor()
      await drillByKeys(day === 0 ? 20 : 10)
      stopped.push((await view()).forecast!.stopped)
      await page.reload()
      await page.getByText(day < 2 ? 'Too early to say' : 'You will probably know').waitFor()
    }
    expect(stopped).toEqual([...stopped].sort((a, b) => a - b))
    expect(stopped[2]! - stopped[0]!).toBeGreaterThan(0.1)
  })

  it('keep their history when the stage is renamed and a call is edited', async () => {
    const before = (await view()).calls.map((call) => call.met)
    await house.ask('PATCH', `/stages/${id}`, { title: 'Renamed' })
    await house.ask('PUT', `/stages/${id}/notes`, { text: NOTES.replace('3 right long', '4 right long'), base: 0 })
    await page.reload()
    await page.getByRole('heading', { name: 'By heart: Renamed' }).waitFor()
    const after = (await view()).calls
    expect(after.map((call) => call.met)).toEqual(before)
    expect(after.map((call) => call.changed)).toEqual(CALLS.map((_, i) => i === 1))
    expect(await page.locator('.card').getAttribute('data-call')).toBe('1')
  })

  it('are walked by ear: the sound is saved as MP3, and what was not known of it is marked afterwards', async () => {
    const before = await met()
    const saved = page.waitForEvent('download')
    await page.getByRole('button', { name: 'save the sound' }).click()
    expect((await saved).suggestedFilename()).toMatch(/^calls-\d+-to-\d+-from-memory\.mp3$/)
    await page.reload()
    await page.getByText('Walked it? Say how it went').click()
    await page.getByLabel('3. 6 left over crest').check()
    await page.getByRole('button', { name: 'I said them; keep it' }).click()
    await page.getByText('Marked: 9 of 10 known.').waitFor()
    expect(await met()).toBe(before + 10)
  })

  it('share today with the other stages of the event, each a click away', async () => {
    const other = (await house.ask<StageDetail>('POST', '/stages', { title: 'The other stage', notes: NOTES })).id
    await page.reload()
    await page.getByText('Autumn round: change day').click()
    await page.getByLabel('The other stage', { exact: true }).check()
    await page.getByLabel('recce of The other stage').fill('2026-06-13')
    await page.getByRole('button', { name: 'keep' }).click()
    const today = page.getByRole('region', { name: /^Today/ })
    await today.getByText('recce Sat 13 June').waitFor()
    expect(await today.getByRole('link', { name: 'The other stage' }).getAttribute('href')).toBe(
      `/stages/${other}/learn`,
    )
    expect(await today.getByRole('listitem').first().textContent()).toContain('The other stage')
  })

  it('are carried to another device as a file, and a file of another kind is refused in words', async () => {
    await page.getByText('On another device').click()
    const saved = page.waitForEvent('download')
    await page.getByRole('link', { name: 'Save what was learnt' }).click()
    const file = await (await saved).path()
    await page.getByLabel('Bring in a file').setInputFiles(file)
    await page.getByText('All of it was here already.').waitFor()
    await page
      .getByLabel('Bring in a file')
      .setInputFiles({ name: 'notes.txt', mimeType: 'text/plain', buffer: Buffer.from('5 left') })
    await page.getByText('“notes.txt” is no file of what was learnt').waitFor()
  })

  it('show the road at the place of the call that is asked', async () => {
    await page.locator('.card').waitFor()
    const call = Number(await page.locator('.card').getAttribute('data-call'))
    expect(Number(await page.locator('.cue svg').getAttribute('data-from'))).toBe((await view()).calls[call]!.from)
  })

  it('tell when an offer was settled elsewhere meanwhile', async () => {
    const notes = ['5 left', '3 right', '6 left', '2 right', '4 left', '4 left', 'hairpin right', 'square left']
    const made = await house.ask<{ id: string }>('POST', '/stages', { title: 'Offered', notes: notes.join('\n') })
    const answers = [4, 5].map((call) => ({ id: `offered-${call}`, call, how: 'self', grade: 'in time', seconds: 3 }))
    await house.ask('POST', `/stages/${made.id}/learn/answers`, { answers })
    const moved = ['4 left', ...notes.filter((text) => text !== '4 left')]
    await house.ask('PUT', `/stages/${made.id}/notes`, { text: moved.join('\n'), base: 0 })
    const other = await page.context().newPage()
    await other.goto(`${house.server.address}/stages/${made.id}/learn`)
    await other.getByRole('button', { name: 'it is new' }).waitFor()
    await house.ask('POST', `/stages/${made.id}/learn/offers`, { call: 0, from: null })
    await other
      .getByRole('button', { name: /it is “4 left”/ })
      .first()
      .click()
    await other.getByRole('alert').filter({ hasText: 'was not one of these' }).waitFor()
    await other.close()
  })

  it('are shown without a fault an automatic check can see, wide and narrow, light and dark', async () => {
    await page.getByText('Every call, in order').click()
    await page.getByText('The same as a table').click()
    for (const scheme of ['light', 'dark'] as const) {
      for (const width of [1280, 390]) {
        await page.emulateMedia({ colorScheme: scheme })
        await page.setViewportSize({ width, height: 800 })
        const { violations } = await new AxeBuilder({ page }).analyze()
        expect([scheme, width, violations.map((one) => `${one.id}: ${one.nodes[0]?.html}`)]).toEqual([
          scheme,
          width,
          [],
        ])
        expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true)
        if (process.env.SHOTS)
          await page.screenshot({ path: `${process.env.SHOTS}/learn-${scheme}-${width}.png`, fullPage: true })
      }
    }
  })
})
