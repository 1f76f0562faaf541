import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { chromium } from 'playwright-core'
import { startServer } from '../../server/api/serve.ts'

const DEMO = new URL('../../routes-demo/tarn-hollow/notes.txt', import.meta.url)
/** Copies of the demo's notes: 137 calls each. */
const COPIES = 5
const PANS = 220

/** The talk strip of some 680 calls, panned by wheel and arrow: cost of a draw on the page's own clock. */
export async function run(): Promise<void> {
  const library = mkdtempSync(join(tmpdir(), 'strip-'))
  const server = await startServer({
    port: 0,
    lan: false,
    library,
    engine: 'silent',
    now: () => Date.now() / 1000,
    log: () => {},
  })
  const browser = await chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-quic'],
  })
  try {
    const lines = readFileSync(DEMO, 'utf8').split('\n').slice(2, -2)
    const notes = Array.from({ length: COPIES }, () => lines.join('\n')).join('\n')
    const made = await fetch(`${server.address}/api/stages`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', origin: server.address },
      body: JSON.stringify({ title: 'Long strip', notes }),
    })
    const { id } = (await made.json()) as { id: string }
    await fetch(`${server.address}/api/stages/${id}`, {
      method: 'PATCH',
      headers: { 'content-type': 'application/json', origin: server.address },
      body: JSON.stringify({ settings: { target: { kind: 'commitment', commitment: 0.85 } } }),
    })
    const page = await (await browser.newContext({ viewport: { width: 1280, height: 800 } })).newPage()
    await page.goto(`${server.address}/stages/${id}/fit`)
    const strip = page.locator('.strip canvas')
    await strip.waitFor({ timeout: 120_000 })
    await page.waitForTimeout(4000)
    const rows = []
    for (const whole of [false, true]) {
      if (whole) await page.getByRole('button', { name: 'whole stage' }).click()
      const box = (await strip.boundingBox())!
      await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2)
      for (let i = 0; i < PANS; i++) {
        if (whole) await page.mouse.wheel(0, i % 2 === 0 ? -30 : 30)
        else await page.mouse.wheel(40, 0)
        await page.evaluate(() => new Promise((next) => requestAnimationFrame(() => next(null))))
      }
      const ms = ((await strip.getAttribute('data-draws')) ?? '').split(' ').map(Number)
      ms.sort((a, b) => a - b)
      const at = (share: number) => ms[Math.floor((ms.length - 1) * share)]!.toFixed(2)
      rows.push({
        view: whole ? 'whole stage, zooming' : 'panning',
        draws: ms.length,
        'p50 ms': at(0.5),
        'p95 ms': at(0.95),
      })
    }
    console.table(rows)
  } finally {
    await browser.close()
    await server.stop()
    rmSync(library, { recursive: true, force: true })
  }
}
