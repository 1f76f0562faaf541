import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium } from 'playwright-core'
import { startServer } from '../../server/api/serve.ts'

/** Software drawing is bound by the number of pixels, so the window is small; script time does not depend on it. */
const WINDOW = { width: 640, height: 480 }
const RIDE_MS = 20_000
const ARGS = [
  '--use-angle=swiftshader',
  '--enable-unsafe-swiftshader',
  '--no-sandbox',
  '--disable-background-networking',
]

/** Twenty seconds of the demo stage on Drive: script per frame of the road, draw calls, and memory before and after. */
export async function run(): Promise<void> {
  const library = mkdtempSync(join(tmpdir(), 'ride-'))
  const server = await startServer({
    port: 0,
    lan: false,
    library,
    engine: 'silent',
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
    await page.goto(`${server.address}/stages/${id}/drive?t=20`)
    await page.locator('.controls button').first().click({ timeout: 120_000 })
    const heap = () =>
      page.evaluate(
        () => (performance as unknown as { memory: { usedJSHeapSize: number } }).memory.usedJSHeapSize / 1e6,
      )
    const before = await heap()
    await page.waitForTimeout(RIDE_MS)
    const after = await heap()
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
      'heap MB before': before.toFixed(1),
      'heap MB after': after.toFixed(1),
    })
  } finally {
    await browser.close()
    await server.stop()
    rmSync(library, { recursive: true, force: true })
  }
}
