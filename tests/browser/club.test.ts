import { AxeBuilder } from '@axe-core/playwright'
import jsQR from 'jsqr'
import type { BrowserContext, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { type House, openHouse } from './openHouse.ts'

const NAMES = ['Ann <b>', 'נהג', '👩‍🚀 crew']

let house: House
let host: BrowserContext
let trainer: Page
let code = ''
const phones: { context: BrowserContext; page: Page }[] = []

interface Start {
  readonly call: number
  readonly server: number
  readonly mapped: number
  readonly epoch: number
}
const startsOf = async (page: Page) =>
  JSON.parse((await page.locator('main').getAttribute('data-starts')) ?? '[]') as Start[]

/** Waits until a page has given calls to its card. */
const sounding = (page: Page) =>
  page.waitForFunction(
    () =>
      (JSON.parse(document.querySelector('main')?.getAttribute('data-starts') ?? '[]') as { call: number }[]).some(
        (one) => one.call >= 0,
      ),
    undefined,
    { timeout: 60_000 },
  )
const rate = (page: Page, value: string) =>
  page.waitForFunction((wanted) => document.querySelector('main')?.getAttribute('data-rate') === wanted, value, {
    timeout: 20_000,
  })
const place = (page: Page) =>
  page.evaluate(() => {
    const { pos, server: now } = document.querySelector('main')!.dataset
    return { pos: Number(pos), server: Number(now) }
  })

beforeAll(async () => {
  const steady = () => (performance.timeOrigin + performance.now()) / 1000
  house = await openHouse({ engine: 'embedded', now: steady, steady })
  await house.ask('POST', '/demo', {})
  host = await house.browser.newContext({ viewport: { width: 1280, height: 800 } })
  trainer = await host.newPage()
})

afterAll(() => house?.close())

describe('a club night with a trainer and three phones', () => {
  it('opens on the host, and says what opening the network means before it is done', async () => {
    await trainer.goto(`${house.server.address}/club/host`)
    await trainer.getByRole('button', { name: 'open the room' }).click()
    await trainer.getByText('Only this machine reaches the club now.').waitFor()
    code = ((await trainer.locator('p.code').textContent()) ?? '').replace(/\s/g, '')
    expect(code).toMatch(/^[A-Z]{6}$/)
  })

  it('shows a code that another library reads as the address to join', async () => {
    const shot = await trainer.locator('svg.qr').screenshot({ scale: 'css' })
    // Turned into pixels on an empty page; jsqr, which shares nothing with the writer, reads them.
    const blank = await host.newPage()
    const { data, width, height } = await blank.evaluate(async (base64) => {
      const image = new Image()
      image.src = `data:image/png;base64,${base64}`
      await image.decode()
      const canvas = new OffscreenCanvas(image.width, image.height)
      const context = canvas.getContext('2d')!
      context.drawImage(image, 0, 0)
      const pixels = context.getImageData(0, 0, image.width, image.height)
      return { data: [...pixels.data], width: pixels.width, height: pixels.height }
    }, shot.toString('base64'))
    await blank.close()
    expect(jsQR(new Uint8ClampedArray(data), width, height)?.data).toBe(`${house.server.address}/club/${code}`)
  })

  it('lets three phones in by the code, whatever their names', async () => {
    for (const name of NAMES) {
      const context = await house.browser.newContext({
        viewport: { width: 390, height: 844 },
        hasTouch: true,
        isMobile: true,
      })
      const page = await context.newPage()
      await page.goto(`${house.server.address}/club/${code}`)
      await page.getByLabel('Your name').fill(name)
      await page.getByLabel('Show my results').check()
      await page.getByRole('button', { name: 'join', exact: true }).click()
      await page.getByText('You are in.').waitFor()
      phones.push({ context, page })
    }
    await trainer.getByText('3 in').waitFor()
    for (const name of NAMES) await trainer.locator('.roster').getByText(name, { exact: true }).waitFor()
  })

  it('has the sound on every phone before it starts', async () => {
    await trainer.getByLabel('run', { exact: false }).first().selectOption('listen')
    await trainer.getByRole('button', { name: 'make it ready' }).click()
    await trainer.getByText('3 of 3 phones have the sound.').waitFor({ timeout: 80_000 })
  })

  it('starts the same calls within 20 ms of each other, by each phone’s own sound clock', async () => {
    await trainer.getByRole('button', { name: 'start', exact: true }).click()
    for (const { page } of phones) await sounding(page)
    await trainer.waitForTimeout(6000)
    const starts = await Promise.all(phones.map(({ page }) => startsOf(page)))
    const common = starts[0]!.filter(
      (one) => one.call >= 0 && starts.every((all) => all.some((other) => other.call === one.call)),
    )
    expect(common.length).toBeGreaterThan(0)
    for (const { call } of common) {
      const same = starts.map((all) => all.find((other) => other.call === call)!)
      const [mapped, epoch] = [same.map((one) => one.mapped - one.server), same.map((one) => one.epoch)]
      expect(Math.max(...mapped) - Math.min(...mapped)).toBeLessThan(0.02)
      expect(Math.max(...epoch) - Math.min(...epoch)).toBeLessThan(0.02)
    }
  })

  it('shows the wall the code, who is in, the clock and the call, and nothing private', async () => {
    const wall = await host.newPage()
    await wall.setViewportSize({ width: 1920, height: 1080 })
    // Without the drawn eye's view: a renderer in software would starve the phones of this one machine.
    await wall.emulateMedia({ reducedMotion: 'reduce' })
    await wall.goto(`${house.server.address}/club/screen`)
    await wall.getByText('3 in').waitFor()
    for (const name of NAMES) await wall.locator('.people').getByText(name, { exact: true }).waitFor()
    await wall.locator('.captions .now span').waitFor({ timeout: 30_000 })
    const text = (await wall.locator('main').textContent()) ?? ''
    expect(text.replace(/\s/g, '')).toContain(code)
    expect(text).not.toMatch(/late|early|tap/)
    await wall.close()
  })

  it('has no finding of axe on the trainer’s page and on a phone', async () => {
    for (const page of [trainer, phones[0]!.page]) {
      const { violations } = await new AxeBuilder({ page }).analyze()
      expect(violations.map((one) => `${one.id}: ${one.nodes[0]?.html}`)).toEqual([])
    }
  })

  it('holds on every phone at the same place', async () => {
    await trainer.getByRole('button', { name: 'pause', exact: true }).click()
    for (const { page } of phones) await rate(page, '0')
    const places = await Promise.all(phones.map(({ page }) => place(page)))
    expect(new Set(places.map((one) => one.pos.toFixed(6))).size).toBe(1)
  })

  it('brings a phone that lost its network back to the right second, with what it missed', async () => {
    const { context, page } = phones[1]!
    await context.setOffline(true)
    // The page drops the connection when the system says that the network changed; until it is there again nothing gets through.
    await page.evaluate(() => dispatchEvent(new Event('online')))
    await page.waitForFunction(() => document.querySelector('main')?.getAttribute('data-status') === 'away')
    await trainer.getByRole('button', { name: 'go on', exact: true }).click()
    await rate(phones[0]!.page, '1')
    expect(await page.locator('main').getAttribute('data-status')).toBe('away')
    expect(await page.locator('main').getAttribute('data-rate')).toBe('0')
    await context.setOffline(false)
    await rate(page, '1')
    const [there, here] = [await place(phones[0]!.page), await place(page)]
    expect(Math.abs(there.pos - here.pos - (there.server - here.server))).toBeLessThan(0.02)
  })

  it('comes back after a reload of phone and trainer, without asking again', async () => {
    await phones[2]!.page.reload()
    await rate(phones[2]!.page, '1')
    await trainer.reload()
    await trainer.getByRole('button', { name: 'pause', exact: true }).waitFor()
    expect((await trainer.locator('p.code').textContent())?.replace(/\s/g, '')).toBe(code)
  })

  it('scores silent taps and shows the board, with the names of those who agreed', async () => {
    await trainer.getByLabel('run', { exact: false }).first().selectOption('taps')
    await trainer.getByRole('button', { name: 'make it ready' }).click()
    await trainer.getByText('3 of 3 phones have the sound.').waitFor({ timeout: 60_000 })
    await trainer.getByRole('button', { name: 'start', exact: true }).click()
    for (const { page } of phones.slice(0, 2)) {
      await page.getByRole('button', { name: 'now', exact: true }).waitFor({ timeout: 20_000 })
      await page.getByRole('button', { name: 'now', exact: true }).dispatchEvent('pointerdown')
      await page
        .getByText(/early|late|exact/)
        .first()
        .waitFor({ timeout: 20_000 })
    }
    await trainer.getByRole('button', { name: /finish/ }).click()
    for (const { page } of phones) await page.getByRole('region', { name: 'Board' }).waitFor()
    expect(await phones[0]!.page.locator('.board table').textContent()).toContain('Ann <b>')
  })

  it('ends the night: everybody is sent home and nothing is left', async () => {
    await trainer.getByRole('button', { name: 'end the night' }).click()
    await trainer.getByRole('button', { name: 'end and delete' }).click()
    await phones[0]!.page.getByText('the evening is over').waitFor()
    const { rooms } = await house.ask<{ rooms: unknown[] }>('GET', '/club')
    expect(rooms).toEqual([])
  })
})
