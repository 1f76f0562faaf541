import { readFileSync } from 'node:fs'
import type { BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { StageDetail } from '../../server/api/wire.ts'
import { faultsInEveryDress } from './faultsInEveryDress.ts'
import { type House, openHouse } from './openHouse.ts'

const NOTES = '5 left over small crest 80\n4 right tightens 3, 60\n6 left long, 100'
const SPOKEN =
  'WEBVTT\n\n00:01.000 --> 00:03.000\nfive left long 60\n\n00:05.000 --> 00:07.000\nthree right over crest 80\n'
const SAID_AS_SUBRIP =
  '1\r\n00:00:01,000 --> 00:00:03,000\r\nfive left long 60\r\n\r\n2\r\n00:00:05,000 --> 00:00:07,000\r\nhairpin right\r\n'

let house: House
let context: BrowserContext
let page: Page
let stage: string

const detail = () => house.ask<StageDetail>('GET', `/stages/${stage}`)
const savedIs = (text: string) =>
  expect.poll(async () => (await detail()).notes, { timeout: 20_000, interval: 50 }).toBe(text)
const editor = () => page.locator('.notes .editor .cm-content')
async function write(notes: string): Promise<void> {
  stage = (await house.ask<StageDetail>('POST', '/stages', { title: 'Tools', notes })).id
  await page.goto(`${house.server.address}/stages/${stage}/write`)
  await page.getByText(/· \d+ calls/).waitFor({ timeout: 30_000 })
}
const press = (...keys: string[]) =>
  keys.reduce((before, key) => before.then(() => editor().press(key)), Promise.resolve())
const file = (name: string, text: string) => ({ name, mimeType: 'text/plain', buffer: Buffer.from(text) })

const atEase = async () => {
  await page.setViewportSize({ width: 1280, height: 800 })
  await page.emulateMedia({ colorScheme: 'light' })
}

beforeAll(async () => {
  house = await openHouse({ engine: 'embedded' })
  context = await house.browser.newContext({ viewport: { width: 1280, height: 800 } })
  page = await context.newPage()
})
afterAll(() => house?.close())

describe('tools of the editor', () => {
  it('speaks the calls of the line the cursor is on, and no others', async () => {
    await write(NOTES)
    await editor().click()
    await press('Control+Home', 'ArrowDown')
    const said = page.waitForResponse(/notes\/say$/)
    const sound = page.waitForResponse(/\/api\/clips\/[a-f0-9]+$/, { timeout: 60_000 })
    await page.getByRole('button', { name: 'speak this line' }).click()
    const { clips } = (await (await said).json()) as { clips: { say: string }[] }
    expect(clips.map((clip) => clip.say)).toEqual(['four right tightens three sixty'])
    expect((await sound).status()).toBeLessThan(300)
  })

  it('selects every element of one kind, so that all are changed at once', async () => {
    await write(NOTES)
    await page.getByLabel('find all').selectOption('distance')
    await page.getByText('3 × distance selected').waitFor()
    await page.keyboard.type('50')
    await savedIs('5 left over small crest 50\n4 right tightens 3, 50\n6 left long, 50')
  })

  it('turns grades and targets round, and back with one undo', async () => {
    await write(NOTES)
    await page.getByRole('button', { name: 'renumber grades: make 1 fastest' }).click()
    await savedIs('2 left over small crest 80\n3 right tightens 4, 60\n1 left long, 100')
    await press('Control+z')
    await savedIs(NOTES)
    await expect.poll(async () => (await detail()).settings.gradeSystem?.fastest).toBe('high')
  })

  it('never drops what the crew pins', async () => {
    await write('5 left patience 80')
    await page.getByText('Wordings: what each leaves out').click()
    const terse = page.getByRole('region', { name: 'terse' })
    await terse.getByRole('button', { name: 'never drop “patience”' }).click()
    await page.getByRole('button', { name: 'patience ×' }).waitFor()
    expect((await detail()).settings.pins).toEqual(['patience'])
    await expect.poll(() => terse.getByText('patience').count()).toBe(0)
  })

  it('hands the notes over in a wording as a new text', async () => {
    await write('5 left patience 80')
    await page.getByText('Wordings: what each leaves out').click()
    const button = page.getByRole('region', { name: 'terse' }).getByRole('button', { name: 'save as a new text' })
    const [download] = await Promise.all([page.waitForEvent('download'), button.click()])
    expect(readFileSync(await download.path(), 'utf8')).toBe('5 left 80\n')
    expect((await detail()).notes).toBe('5 left patience 80')
  })

  it('shows what changed since an earlier version, and puts that back as one step', async () => {
    await write(NOTES)
    await editor().click()
    await press('Control+End')
    await page.keyboard.type(' finish')
    await savedIs(`${NOTES} finish`)
    await page.getByText('Earlier versions').click()
    await page
      .getByRole('button', { name: /words$/ })
      .first()
      .click()
    await page.locator('.difference .cm-changedText', { hasText: 'finish' }).waitFor()
    await page.getByRole('button', { name: 'restore this version' }).click()
    await savedIs(NOTES)
    await press('Control+z')
    await savedIs(`${NOTES} finish`)
  })
})

describe('how the notes are read', () => {
  it('is asked where nothing shows which number is fastest, and the answer stays with the stage', async () => {
    await write('5 left 80, 3 right 60')
    await page.getByText('Which number is your fastest corner?').waitFor()
    await page.getByRole('button', { name: '1 is fastest' }).click()
    await page.getByRole('button', { name: 'renumber grades: make the highest fastest' }).waitFor()
    expect(await page.getByText('Which number is your fastest corner?').count()).toBe(0)
    expect((await detail()).settings.gradeSystem).toEqual({ fastest: 'low' })
  })

  it('is as the crew says, until the text is asked again', async () => {
    await page.getByText('How it was read').click()
    const dictated = page.getByLabel('the notes were')
    await dictated.selectOption('dictated')
    await expect.poll(async () => (await detail()).settings.dictated).toBe(true)
    await page.getByLabel('fastest').selectOption('')
    await page.getByText('Which number is your fastest corner?').waitFor()
    await dictated.selectOption('')
    await expect.poll(async () => (await detail()).settings.dictated).toBe(null)
    await expect.poll(() => dictated.locator('option:checked').innerText()).toBe('typed, as the text shows')
  })

  it('has nothing against it by axe, wide and narrow, light and dark', async () => {
    await page.getByText('Wordings: what each leaves out').click()
    expect(await faultsInEveryDress(page, '.under')).toEqual([])
    await atEase()
  })
})

describe('captions of a spoken stage', () => {
  it('become the notes, and one undo brings back what was there', async () => {
    await write(NOTES)
    await page.getByLabel('Captions file').setInputFiles(file('spoken.vtt', SPOKEN))
    await savedIs('five left long 60\nthree right over crest 80')
    await press('Control+z')
    await savedIs(NOTES)
  })

  it('tell when the call at the cursor was spoken, also after an edit before it', async () => {
    await write('')
    await page.getByLabel('Captions file').setInputFiles(file('spoken.vtt', SPOKEN))
    await savedIs('five left long 60\nthree right over crest 80')
    await press('Control+Home')
    await page.keyboard.type('caution ')
    await press('Control+End')
    await page.getByText('this call was spoken at 0:05.0').waitFor({ timeout: 20_000 })
  })

  it('that are none are refused in one sentence, and the notes stay', async () => {
    await write(NOTES)
    await page.getByLabel('Captions file').setInputFiles(file('notes.srt', '5 left 60'))
    await page
      .getByRole('alert')
      .getByText(/^This file is neither WebVTT nor SubRip/)
      .waitFor()
    expect((await detail()).notes).toBe(NOTES)
  })

  it('begin a stage on the first page', async () => {
    await page.goto(`${house.server.address}/`)
    await page.getByLabel('Route file').setInputFiles(file('my recce.srt', SAID_AS_SUBRIP))
    await page.getByRole('button', { name: 'Begin', exact: true }).click()
    await page.waitForURL(/\/write$/)
    stage = page.url().split('/').at(-2)!
    await savedIs('five left long 60\nhairpin right')
    expect((await detail()).settings.dictated).toBe(true)
  })
})

describe('a target that no car can reach', () => {
  it('leaves the road of the notes to be seen, beside what is wrong', async () => {
    await write('start 30 hairpin left 20 hairpin right')
    await page.getByRole('alert').getByText('cannot reach an average').waitFor()
    await page.locator('.plan .road').first().waitFor()
  })
})

describe("the crew's own words", () => {
  const field = (name: string) => page.getByLabel(name, { exact: true })
  it('are kept with the stage as they are typed', async () => {
    await write('zg left 60')
    await page.getByRole('link', { name: 'your own words' }).click()
    await field('you write, row 1').fill('zg, zigzag')
    await field('stands for, row 1').fill('chicane')
    await page.getByText('saved', { exact: true }).waitFor()
    expect((await detail()).settings.crewWords).toEqual([{ forms: ['zg', 'zigzag'], means: 'chicane' }])
  })

  it('say in one sentence what is wrong with a row, and survive a closed tab', async () => {
    await field('you write, row 2').fill('br')
    await field('stands for, row 2').fill('brigde')
    await page
      .getByRole('alert')
      .getByText('“brigde” is no word of the built-in table. Did you mean “bridge”?')
      .waitFor()
    await page.reload()
    await expect.poll(() => field('stands for, row 2').inputValue()).toBe('brigde')
    await field('stands for, row 2').fill('bridge')
    await page.getByText('“br” is read by your row alone now; built in, it means “brow”.').waitFor()
    await page.getByText('saved', { exact: true }).waitFor()
  })

  it('have nothing against them by axe, wide and narrow, light and dark', async () => {
    expect(await faultsInEveryDress(page, 'main')).toEqual([])
    await atEase()
  })

  it('are kept too when the crew goes back before typing has come to rest', async () => {
    await field('said as, row 2').fill('old bridge')
    await page.getByRole('link', { name: 'back to the notes' }).click()
    await expect.poll(async () => (await detail()).settings.crewWords?.[1]?.spoken).toBe('old bridge')
  })

  it('are read and offered in the notes', async () => {
    await page.locator('.note-corner', { hasText: 'zg left' }).waitFor({ timeout: 20_000 })
    await press('Control+End', 'Enter')
    await page.keyboard.type('zi')
    await page.locator('.cm-tooltip-autocomplete li', { hasText: 'zigzag' }).waitFor()
  })

  it('can be taken over by another stage of the crew', async () => {
    const from = stage
    await write('zg right 40')
    await page.getByRole('link', { name: 'your own words' }).click()
    await page.getByLabel('take the words of').selectOption(from)
    await page.getByText('saved', { exact: true }).waitFor()
    expect((await detail()).settings.crewWords?.map((word) => word.forms[0])).toEqual(['zg', 'br'])
  })
})
