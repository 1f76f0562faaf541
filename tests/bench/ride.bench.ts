import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium, type Page } from 'playwright-core'
import { startServer } from '../../server/api/serve.ts'

/** Software drawing is bound by the number of pixels, so the window is small; script time does not depend on it. */
const WINDOW = { width: 640, height: 480 }
const ROUNDS = 5
const ARGS = [
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--no-sandbox',
  '--disable-background-networking',
]

async function took(page: Page, work: () => Promise<void>): Promise<number> {
  const from = await page.evaluate(() => performance.now())
  await work()
  return (await page.evaluate(() => performance.now())) - from
}

const median = (values: readonly number[]) => [...values].sort((a, b) => a - b)[values.length >> 1]!

/** The demo stage on Drive, 20 s or RIDE_MINUTES: how soon it starts, call starts against plan, script per frame, draw calls, memory minute by minute. */
export async function run(): Promise<void> {
  const library = mkdtempSync(join(tmpdir(), 'ride-'))
  const server = await startServer({
    port: 0,
    lan: false,
    library,
    engine: 'embedded',
    now: () => Date.now() / 1000,
    log: () => {},
  })
  const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ARGS })
  try {
    const made = await fetch(`${server.address}/api/demo`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', origin: server.address },
      body: '{}',
    })
    const { id } = (await made.json()) as { id: string }
    const page = await (await browser.newContext({ viewport: WINDOW })).newPage()
    await page.goto(`${server.address}/stages/${id}/drive`)
    const start = page.getByRole('button', { name: 'start', exact: true })
    await start.waitFor({ timeout: 120_000 })
    // The clips are there now: how long until a ride can begin, and how long until it does.
    const opened: number[] = []
    const begun: number[] = []
    for (let round = 0; round < ROUNDS; round++) {
      await page.getByRole('link', { name: 'Fit', exact: true }).click()
      await page.locator('.strip').waitFor()
      opened.push(
        await took(page, async () => {
          await page.getByRole('link', { name: 'Drive', exact: true }).click()
          await start.waitFor()
        }),
      )
      begun.push(
        await took(page, async () => {
          await start.click()
          await page.locator('main[data-status="riding"]').waitFor()
        }),
      )
    }
    const client = await page.context().newCDPSession(page)
    const heap = async () => {
      await client.send('HeapProfiler.collectGarbage')
      const { usedSize } = await client.send('Runtime.getHeapUsage')
      return usedSize / 1e6
    }
    const minutes = Number(process.env.RIDE_MINUTES ?? 1 / 3)
    const heaps: number[] = []
    const errors: number[] = []
    for (let minute = 0; minute < Math.max(2, Math.ceil(minutes) + 1); minute++) {
      heaps.push(await heap())
      await page.waitForTimeout((minutes * 60_000) / Math.max(1, Math.ceil(minutes)))
      if ((await page.locator('main').getAttribute('data-status')) === 'finished') {
        await page.getByRole('button', { name: 'restart' }).click()
      }
      const scheduled = JSON.parse((await page.locator('main').getAttribute('data-scheduled')) ?? '[]') as {
        stage: number
        audio: number
      }[]
      // From call to call, so that a ride begun again does not count as an error.
      for (let i = 1; i < scheduled.length; i++) {
        const [before, now] = [scheduled[i - 1]!, scheduled[i]!]
        if (now.stage > before.stage) errors.push(Math.abs(now.audio - before.audio - now.stage + before.stage) * 1000)
      }
    }
    errors.sort((a, b) => a - b)
    console.table({
      'Drive opens, clips there, ms (median)': median(opened).toFixed(0),
      'start pressed to riding, ms (median)': median(begun).toFixed(0),
      'call starts given to the sound card, error ms (p99)': errors[Math.floor(errors.length * 0.99)]!.toFixed(3),
      'heap MB after collecting, each minute': heaps.map((mb) => mb.toFixed(1)).join(' '),
    })
    const frames = await page.locator('main').getAttribute('data-frames')
    const { script, drawn } = JSON.parse(frames ?? '{"script":[],"drawn":0}') as { script: number[]; drawn: number }
    script.sort((a, b) => a - b)
    const at = (share: number) =>
      script[Math.min(script.length - 1, Math.floor(script.length * share))]?.toFixed(3) ?? '–'
    console.table({
      frames: script.length,
      'p50 ms': at(0.5),
      'p95 ms': at(0.95),
      'draw calls': drawn,
    })
  } finally {
    await browser.close()
    await server.stop()
    rmSync(library, { recursive: true, force: true })
  }
}
