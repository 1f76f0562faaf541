import type { BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { TakesView } from '../../server/api/wireTakes.ts'
import { type House, openHouse, PRETENDED_MICROPHONE } from './openHouse.ts'

const VIEW = { viewport: { width: 480, height: 640 }, reducedMotion: 'reduce' } as const

let house: House
let stage: string

const takes = () => house.ask<TakesView>('GET', `/stages/${stage}/takes`)
const openReading = async (context: BrowserContext): Promise<Page> => {
  const page = await context.newPage()
  await page.goto(`${house.server.address}/stages/${stage}/read`)
  await page.getByRole('button', { name: 'use the microphone' }).click({ timeout: 60_000 })
  return page
}

beforeAll(async () => {
  house = await openHouse({ engine: 'embedded', flags: PRETENDED_MICROPHONE })
  const notes = 'start, 150, 5 right long\n100, 3 left\n200, 6 right\n300, finish'
  stage = (await house.ask<{ id: string }>('POST', '/stages', { title: 'Trouble', notes })).id
})
afterAll(() => house?.close())

describe('a microphone that was refused', () => {
  it('is said in words, with the way out', async () => {
    const browser = await house.launch(['--use-fake-device-for-media-stream', '--deny-permission-prompts'])
    const page = await openReading(await browser.newContext({ ...VIEW, permissions: [] }))
    await page.getByText(/The microphone was refused. Allow it for this page/).waitFor()
    await browser.close()
  })
})

describe('a microphone that goes away, and a second tab', () => {
  let context: BrowserContext
  let page: Page

  beforeAll(async () => {
    context = await house.browser.newContext({ ...VIEW, permissions: ['microphone'] })
    // Unplugging ends the track: the page is given the handle to do the same.
    await context.addInitScript(() => {
      const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices)
      navigator.mediaDevices.getUserMedia = async (wanted) => {
        const stream = await ask(wanted)
        Object.assign(window, { unplug: () => stream.getAudioTracks()[0]!.dispatchEvent(new Event('ended')) })
        return stream
      }
    })
    page = await openReading(context)
    await page.getByRole('button', { name: 'start a take' }).click({ timeout: 60_000 })
  })

  it('is recorded second by second', async () => {
    await expect.poll(async () => (await takes()).takes[0]?.seconds ?? 0, { timeout: 60_000 }).toBeGreaterThanOrEqual(2)
  })

  it('says in a second tab that another one is listening, and starts no take there', async () => {
    const second = await openReading(context)
    await second.getByRole('button', { name: 'start a take' }).click({ timeout: 60_000 })
    await second.getByText('Another tab of Say When is listening.').waitFor()
    expect((await takes()).takes).toHaveLength(1)
    await second.close()
  })

  it('says that the microphone is gone, and keeps what was read until then', async () => {
    const before = (await takes()).takes[0]!.seconds
    await page.evaluate(() => (window as unknown as { unplug: () => void }).unplug())
    await page.getByText(/is gone: unplugged, or taken away. What was read until then is kept/).waitFor()
    await expect.poll(async () => (await takes()).takes[0]!.finished, { timeout: 60_000 }).toBe(true)
    expect((await takes()).takes[0]!.seconds).toBeGreaterThanOrEqual(before)
  })
})
