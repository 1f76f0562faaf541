import { readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { PlacementView, PlanDocument, StageDetail } from '../../server/api/wire.ts'
import type { RoadChoice } from '../../server/api/wireRoad.ts'
import { faultsInEveryDress } from './faultsInEveryDress.ts'
import { type House, openHouse } from './openHouse.ts'

const demo = (file: string) =>
  readFileSync(fileURLToPath(new URL(`../../routes-demo/skerry-road/${file}`, import.meta.url)), 'utf8')
/** Pictures to look at are written here when asked for. */
const PICTURES = process.env.PICTURES
const SOON = { timeout: 30_000 }

let house: House
let page: Page
let stage = ''
/** The call that is put elsewhere by hand. */
let call = 0

const ask = <T>(path: string, body?: unknown) =>
  house.ask<T>(body === undefined ? 'GET' : 'POST', `/stages/${stage}${path}`, body)
const choice = () => ask<RoadChoice | null>('/road/choice')
const placed = async () => (await ask<PlacementView>('/placement')).placement.calls[call]!
const plan = () => ask<PlanDocument>('/plan', {})
const picture = async (name: string) => {
  if (PICTURES) await page.screenshot({ path: `${PICTURES}/${name}.png`, fullPage: true })
}
const status = () => page.locator('.road-part [role="status"]')

beforeAll(async () => {
  house = await openHouse()
  page = await (await house.browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage()
  page.setDefaultTimeout(30_000)
  stage = (await house.ask<StageDetail>('POST', '/stages', { title: 'Made-up road', notes: demo('notes.txt') })).id
  await page.goto(`${house.server.address}/stages/${stage}/write`)
  await page.getByText('No road file yet').waitFor(SOON)
})

afterAll(() => house?.close())

/** Drops a file as a person's mouse does. */
async function drop(name: string, text: string): Promise<void> {
  const data = await page.evaluateHandle(
    ([file, content]) => {
      const transfer = new DataTransfer()
      transfer.items.add(new File([content!], file!))
      return transfer
    },
    [name, text],
  )
  await page.locator('.road-part .drop').dispatchEvent('drop', { dataTransfer: data })
}

describe('a road file dropped on the page', () => {
  let before: PlanDocument
  it('that holds no road is refused in words, and the road stays drawn', async () => {
    before = await plan()
    await drop('empty.gpx', '<gpx></gpx>')
    await status().getByText('"empty.gpx" holds no road').waitFor(SOON)
    expect(await choice()).toBeNull()
  })

  it('takes the place of the road drawn from the notes', async () => {
    await drop('skerry.gpx', demo('route.gpx'))
    await status().getByText('measured from a log; the whole of it is the stage').waitFor(SOON)
    await page.locator('.plan .word').first().waitFor(SOON)
    expect((await plan()).calls.map((one) => one.station)).not.toEqual(before.calls.map((one) => one.station))
    await picture('road-dropped')
  })
})

/** What a crew reads on Fit, and the places on Write in which notes and road disagree. */
const fitSays = async () => {
  await page.goto(`${house.server.address}/stages/${stage}/fit`)
  await page.locator('.lead').waitFor(SOON)
  const says = await page.locator('main').innerText()
  await page.goto(`${house.server.address}/stages/${stage}/write`)
  await page.locator('.plan .word').first().waitFor(SOON)
  return says
}
const findings = async () => (await ask<PlacementView>('/placement')).findings.map((one) => one.message)

describe('start and finish', () => {
  let before = { fit: '', findings: [] as string[], calls: '' }
  it('are chosen by dragging a line along the road', async () => {
    before = {
      fit: await fitSays(),
      findings: await findings(),
      calls: (await page.locator('.plan .word').allInnerTexts()).join(),
    }
    const whole = await choice()
    await page.getByRole('button', { name: 'choose start and finish' }).click()
    const grip = (await page.locator('[data-end="start"] .grip').boundingBox())!
    const [x, y] = [grip.x + grip.width / 2, grip.y + grip.height / 2]
    const middle = (await page.locator('.plan').boundingBox())!
    await page.mouse.move(x, y)
    await page.mouse.down()
    await page.mouse.move((x + middle.x + middle.width / 2) / 2, (y + middle.y + middle.height / 2) / 2, { steps: 8 })
    await page.mouse.up()
    const start = Number(await page.getByLabel('start at').inputValue())
    expect(start).toBeGreaterThan(50)
    await picture('road-choosing')
    await page.getByRole('button', { name: 'use this stretch' }).click()
    await expect.poll(async () => (await choice())!.from, SOON).toBeCloseTo(start, 0)
    expect((await choice())!.to).toBe(whole!.to)
  })

  it('are moved by keys, a hundred metres a page', async () => {
    const before = (await choice())!
    await page.getByRole('button', { name: 'choose start and finish' }).click()
    await page.getByRole('slider', { name: 'finish' }).focus()
    await page.keyboard.press('PageDown')
    await page.keyboard.press('PageDown')
    await page.keyboard.press('ArrowRight')
    await page.getByRole('button', { name: 'use this stretch' }).press('Enter')
    await expect.poll(async () => (await choice())!.to, SOON).toBeCloseTo(before.to - 190, -1)
  })

  it('are typed as stations', async () => {
    await page.getByRole('button', { name: 'choose start and finish' }).click()
    await page.getByLabel('start at').fill('400')
    await page.getByLabel('start at').press('Enter')
    await expect.poll(async () => (await choice())!.from, SOON).toBe(400)
  })

  it('change what is placed, what is found and what Fit says', async () => {
    await page.reload()
    await page.locator('.plan .word').first().waitFor(SOON)
    expect((await page.locator('.plan .word').allInnerTexts()).join()).not.toBe(before.calls)
    expect(await findings()).not.toEqual(before.findings)
    expect(await fitSays()).not.toBe(before.fit)
  })

  it('change the road that the plan is for', async () => {
    const length = await ask<{ length: number }>('/road')
    const { to } = (await choice())!
    expect(length.length).toBeCloseTo(to - 400, -1)
    expect((await plan()).profile!.station.at(-1)).toBeCloseTo(to - 400, -1)
  })
})

describe('a call dragged along the shortened road', () => {
  let before: PlanDocument
  it('is placed there by hand', async () => {
    before = await plan()
    const word = page.locator('.plan .word').nth(4)
    await word.waitFor(SOON)
    call = Number(await word.getAttribute('data-call'))
    const box = (await word.boundingBox())!
    // Onto the word after it: another corner, wherever the words happen to stand.
    const there = (await page.locator('.plan .word').nth(5).boundingBox())!
    await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2)
    await page.mouse.down()
    await page.mouse.move(there.x + there.width / 2, there.y + there.height / 2, { steps: 6 })
    await page.mouse.up()
    await expect.poll(async () => (await placed()).by, SOON).toBe('anchor')
    await page.getByRole('heading', { name: /Notes (and road agree|against road)/ }).waitFor(SOON)
  })

  it('moves on the strip that Fit draws', async () => {
    const { station } = (await plan()).calls.find((one) => one.index === call)!
    expect(Math.abs(station - before.calls.find((one) => one.index === call)!.station)).toBeGreaterThan(20)
    expect(Math.abs(station - (await placed()).from)).toBeLessThan(120)
    await page.goto(`${house.server.address}/stages/${stage}/fit`)
    await page.locator('.lead').waitFor(SOON)
    await picture('road-fit')
  })

  it('is there again after a reload, with start and finish', async () => {
    const before = { choice: await choice(), placed: await placed() }
    await page.goto(`${house.server.address}/stages/${stage}/write`)
    await page.reload()
    await page.locator('.plan .word').first().waitFor(SOON)
    expect({ choice: await choice(), placed: await placed() }).toEqual(before)
    expect([before.choice!.from, before.placed.by]).toEqual([400, 'anchor'])
    await status().getByText('the stage is 0.40 to').waitFor(SOON)
  })
})

describe('a road driven the other way', () => {
  it('keeps its stretch and is taken back by undo', async () => {
    const { from, to } = (await choice())!
    await page.getByRole('button', { name: 'drive it the other way' }).click()
    await status().getByText('driven the other way').waitFor(SOON)
    expect(await choice()).toMatchObject({ from, to, reversed: true })
    await page.getByRole('button', { name: 'undo: direction' }).click()
    await expect.poll(async () => (await choice())!.reversed, SOON).toBe(false)
    expect((await placed()).by).toBe('anchor')
  })
})

describe('another log of the same road', () => {
  it('is averaged in and can be left out again', async () => {
    await page.getByText(/^Files: skerry.gpx/).click()
    await page.locator('.road-part select').selectOption('average')
    await page.locator('.road-part input[type="file"]').setInputFiles({
      name: 'second run.gpx',
      mimeType: 'application/gpx+xml',
      buffer: Buffer.from(demo('route.gpx')),
    })
    await page.getByRole('button', { name: 'leave out second run.gpx' }).waitFor(SOON)
    expect((await choice())!.losses).toHaveProperty('logs averaged into one', 2)
    await picture('road-averaged')
    await page.getByRole('button', { name: 'leave out second run.gpx' }).click()
    await expect.poll(async () => (await choice())!.files.length, SOON).toBe(1)
  })
})

describe('two roads in one file', () => {
  const line = (name: string, from: number, to: number) =>
    `<trk><name>${name}</name><trkseg><trkpt lat="50" lon="${from}"/><trkpt lat="50" lon="${(from + to) / 2}"/><trkpt lat="50" lon="${to}"/></trkseg></trk>`

  it('give the longer, and the other when it is chosen', async () => {
    await page.locator('.road-part select').selectOption('instead')
    await page.locator('.road-part input[type="file"]').setInputFiles({
      name: 'two.gpx',
      mimeType: 'application/gpx+xml',
      buffer: Buffer.from(`<gpx>${line('forest', 5, 5.01)}${line('moor', 6, 6.02)}</gpx>`),
    })
    const moor = page.getByRole('checkbox', { name: /^moor, 1.43 km/ })
    await moor.waitFor(SOON)
    expect(await moor.isChecked()).toBe(true)
    await page.getByRole('button', { name: 'only forest' }).click()
    await expect.poll(async () => (await choice())!.lines.map((one) => one.used), SOON).toEqual([true, false])
    // 0.01° of longitude at 50° north: 717 m.
    expect((await choice())!.length).toBeCloseTo(717, -1)
    await picture('road-lines')
  })

  it('are gone by undo, and the road before is there', async () => {
    await page.getByRole('button', { name: 'undo: lines chosen' }).click()
    await page.getByRole('button', { name: 'undo: "two.gpx" in place of the road before' }).click()
    await expect.poll(async () => (await choice())!.files.map((one) => one.name), SOON).toEqual(['skerry.gpx'])
  })
})

it('has no fault that axe can see, wide and narrow, light and dark', async () => {
  await page.getByRole('button', { name: 'choose start and finish' }).click()
  expect(await faultsInEveryDress(page, '.map', (name) => picture(`road-${name}`))).toEqual([])
})
