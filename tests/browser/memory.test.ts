import { AxeBuilder } from '@axe-core/playwright'
import type { Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { LearnView, RideView } from '../../server/api/learnWire.ts'
import type { PlanDocument, StageDetail } from '../../server/api/wire.ts'
import { type House, openHouse } from './openHouse.ts'

const CALLS = [
  '5 left',
  '3 right long',
  '6 left over crest',
  '2 right tightens',
  '4 left',
  'hairpin right',
  '5 right opens',
]
const EVENING = Date.parse('2026-06-10T18:00Z') / 1000
const DAY = 86_400
let now = EVENING
let house: House
let page: Page
let id: string

const view = () => house.ask<LearnView>('GET', `/stages/${id}/learn`)
const log = async () =>
  (
    await house.ask<{ lines: { item: string; how: string; grade: string | null; said: string }[] }>(
      'GET',
      `/stages/${id}/learn/log`,
    )
  ).lines
let turn = 0
/** Every call answered once, so that each is asked; `grade` decides how much of it is hidden. */
const answerAll = (how: 'listen' | 'self', grade: 'in time' | null) =>
  house.ask('POST', `/stages/${id}/learn/answers`, {
    answers: CALLS.map((_, call) => ({ id: `before-${turn++}-x`, call, how, grade, seconds: 3 })),
  })

beforeAll(async () => {
  house = await openHouse({ now: () => now })
  id = (
    await house.ask<StageDetail>('POST', '/stages', {
      title: 'Seven calls',
      notes: CALLS.map((call) => `${call}, 130`).join('\n'),
    })
  ).id
  await answerAll('listen', null)
  page = await (
    await house.browser.newContext({ viewport: { width: 1280, height: 800 }, reducedMotion: 'reduce' })
  ).newPage()
})
afterAll(() => house?.close())

/** Opens the ride and starts it from the page's own button. */
async function rideFromMemory(way: string): Promise<void> {
  await page.goto(`${house.server.address}/stages/${id}/drive?ride=memory`)
  await page.getByRole('button', { name: way }).click()
  await page
    .locator('.drive')
    .focus()
    .catch(() => {})
  await page.getByRole('button', { name: /^(start|go on)$/ }).click()
}
const said = (position: number) => page.locator(`.now[data-said="${position}"]`).waitFor({ timeout: 30_000 })
const answered = async (count: number) => {
  for (;;) {
    const lines = (await log()).slice(CALLS.length)
    if (lines.length >= count) return lines
    await page.waitForTimeout(50)
  }
}

describe('Drive from memory', { timeout: 120_000 }, () => {
  it('holds the car before a call that is typed, lets the voice say it then, and takes hard for late', async () => {
    await rideFromMemory('type it')
    const field = page.getByLabel('The call')
    // A call once heard shows its words but the corner.
    await page.getByText('____').first().waitFor()
    await page.waitForFunction(() => document.querySelector('.drive')?.getAttribute('data-status') === 'held')
    expect(await page.locator('.now').textContent()).not.toContain('left')
    await field.fill('5 left')
    await field.press('Enter')
    await said(0)
    await page.getByRole('button', { name: 'h hard' }).click()
    expect((await answered(1))[0]).toMatchObject({ how: 'typed', said: '5 left', grade: 'late' })
    await page.getByRole('status').getByText('Right, but late or hard').waitFor()
  })

  it('lets the next be chosen by key', async () => {
    await page.getByRole('button', { name: 'choose' }).click()
    const right = page.locator('.choices button', { hasText: '3 right long' })
    await right.waitFor()
    await page.keyboard.press((await right.textContent())!.slice(0, 1))
    await said(1)
    await page.keyboard.press('e')
    expect((await answered(2))[1]).toMatchObject({ how: 'chosen', grade: 'in time' })
  })

  it('never holds the car where the crew judges itself, by 1, 2 or 3 once the voice has said it', async () => {
    await page.getByRole('button', { name: 'judge myself' }).click()
    await said(2)
    await page.keyboard.press('3')
    await said(3)
    await page.keyboard.press('1')
    const lines = await answered(4)
    expect(lines.slice(2).map((line) => [line.how, line.grade])).toEqual([
      ['self', 'no'],
      ['self', 'in time'],
    ])
  })

  it('begins the next ride at the call where this one stopped', async () => {
    const stopped = (await view()).ride.position
    expect(stopped).toBeGreaterThanOrEqual(4)
    await rideFromMemory('judge myself')
    await page.getByRole('button', { name: 'pause' }).waitFor()
    expect(Number(await page.locator('.now').getAttribute('data-said'))).toBe(stopped - 1)
  })

  it('hides whole calls once they are known, then runs of them', async () => {
    const gaps = async () =>
      (await house.ask<RideView>('POST', `/stages/${id}/learn/ride`, {})).calls.map((call) => call.gap)
    expect(new Set(await gaps())).toEqual(new Set(['words', 'call']))
    for (let day = 1; day < 12; day++) {
      now = EVENING + day * DAY
      await answerAll('self', 'in time')
    }
    expect(new Set(await gaps())).toEqual(new Set(['run']))
    await rideFromMemory('judge myself')
    await page.locator('.next[data-gap="run"]', { hasText: 'go on' }).waitFor()
    now = EVENING
  })

  it('leaves out empty road once the day’s full ride is done: the car jumps to two seconds before the next call may begin', async () => {
    await rideFromMemory('judge myself')
    await page.getByRole('button', { name: 'leave out empty road' }).click()
    await page.getByRole('button', { name: 'restart' }).click()
    const { calls } = await house.ask<PlanDocument>('POST', `/stages/${id}/plan`, {})
    const { calls: rides } = await house.ask<RideView>('POST', `/stages/${id}/learn/ride`, {})
    await said(2)
    const log = JSON.parse((await page.locator('.drive').getAttribute('data-scheduled'))!) as {
      call: number
      audio: number
    }[]
    const [first, second] = log.slice(-2)
    const saved = rides[1]!.jump ? rides[1]!.jump.to - rides[1]!.jump.from : 0
    expect(saved).toBeGreaterThan(1)
    const apart = calls[2]!.start - calls[1]!.start
    expect([first!.call, second!.call]).toEqual([1, 2])
    // A picture and the 0.08 s in which a jump is laid on the sound card.
    expect(Math.abs(second!.audio - first!.audio - (apart - saved))).toBeLessThan(0.3)
  })

  it('is shown without a fault an automatic check can see, wide and narrow, light and dark, in each way', async () => {
    for (const way of ['judge myself', 'choose', 'type it']) {
      await page.getByRole('button', { name: way }).click()
      for (const scheme of ['light', 'dark'] as const) {
        for (const width of [1280, 390]) {
          await page.emulateMedia({ colorScheme: scheme, reducedMotion: 'reduce' })
          await page.setViewportSize({ width, height: width === 390 ? 844 : 800 })
          const { violations } = await new AxeBuilder({ page }).analyze()
          expect([way, scheme, width, violations.map((one) => `${one.id}: ${one.nodes[0]?.html}`)]).toEqual([
            way,
            scheme,
            width,
            [],
          ])
          expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true)
          if (process.env.SHOTS)
            await page.screenshot({ path: `${process.env.SHOTS}/memory-${way.slice(0, 4)}-${scheme}-${width}.png` })
        }
      }
    }
  })
})
