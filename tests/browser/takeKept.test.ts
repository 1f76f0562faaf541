import { type ChildProcess, execFileSync, spawn } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type BrowserContext, chromium } from 'playwright-core'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { TakesView } from '../../server/api/wireTakes.ts'
import { browserWith, PRETENDED_MICROPHONE } from './openHouse.ts'

const ROOT = new URL('../..', import.meta.url).pathname
let folder: string
let server: ChildProcess
let address: string
let context: BrowserContext

/** The program as a crew runs it, in a process of its own that can be killed. */
function startProgram(port: number): Promise<string> {
  server = spawn(
    process.execPath,
    ['server/launch.mjs', 'serve', '--port', String(port), '--library', join(folder, 'library')],
    { cwd: ROOT },
  )
  return new Promise((resolve, reject) => {
    let out = ''
    server.stdout!.on('data', (chunk) => {
      out += chunk
      const found = /http:\/\/[\d.]+:\d+/.exec(out)
      if (found) resolve(found[0])
    })
    server.on('exit', () => reject(new Error(`ended: ${out}`)))
  })
}
const openBrowser = () =>
  chromium.launchPersistentContext(join(folder, 'profile'), {
    ...browserWith(...PRETENDED_MICROPHONE),
    viewport: { width: 480, height: 640 },
    reducedMotion: 'reduce',
  })
const killed = (child: ChildProcess) =>
  new Promise<void>((resolve) => {
    child.removeAllListeners('exit')
    child.once('exit', () => resolve())
    child.kill('SIGKILL')
  })

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'say-when-kept-'))
  address = await startProgram(0)
})
afterAll(async () => {
  await context?.close().catch(() => {})
  server?.kill('SIGKILL')
  rmSync(folder, { recursive: true, force: true })
})

it('keeps what was recorded when server and browser are killed in the middle of a take', async () => {
  const made = await fetch(`${address}/api/stages`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({
      title: 'Cut off',
      notes: 'start, 300, 5 right long\n200, 3 left\n300, 6 right\n300, finish',
    }),
  })
  const { id } = (await made.json()) as { id: string }
  const takes = async () => (await (await fetch(`${address}/api/stages/${id}/takes`)).json()) as TakesView
  context = await openBrowser()
  const page = await context.newPage()
  await page.goto(`${address}/stages/${id}/read`)
  await page.getByRole('button', { name: 'use the microphone' }).click({ timeout: 60_000 })
  await page.getByRole('button', { name: 'start a take' }).click({ timeout: 60_000 })
  await expect.poll(async () => (await takes()).takes[0]?.seconds ?? 0, { timeout: 30_000 }).toBeGreaterThanOrEqual(3)
  // The server dies first; the page goes on recording into the browser's own database.
  const onServer = (await takes()).takes[0]!.seconds
  await killed(server)
  await page.getByText('The take is kept in this browser meanwhile').waitFor({ timeout: 30_000 })
  const inBrowser = () =>
    page.evaluate(
      () =>
        new Promise<number>((resolve) => {
          const asking = indexedDB.open('say-when-takes')
          asking.onsuccess = () => {
            const all = asking.result.transaction('pieces').objectStore('pieces').getAll()
            all.onsuccess = () =>
              resolve(
                (all.result as { samples: Int16Array }[]).reduce((sum, one) => sum + one.samples.length / 16_000, 0),
              )
          }
        }),
    )
  await expect.poll(inBrowser, { timeout: 30_000 }).toBeGreaterThanOrEqual(3)
  const kept = await inBrowser()
  // Then the whole browser is killed, its page in the middle of the take.
  const mine = execFileSync('pgrep', ['-f', '--', `--user-data-dir=${join(folder, 'profile')}`], { encoding: 'utf8' })
  for (const pid of mine.split('\n').filter(Boolean).map(Number)) {
    try {
      process.kill(pid, 'SIGKILL')
    } catch {}
  }
  await context.close().catch(() => {})

  await startProgram(Number(new URL(address).port))
  expect((await takes()).takes[0]!.seconds).toBeGreaterThanOrEqual(onServer)
  rmSync(join(folder, 'profile', 'SingletonLock'), { force: true })
  context = await openBrowser()
  const again = await context.newPage()
  await again.goto(`${address}/stages/${id}/results`)
  await again.getByText('This take was cut off; what was recorded until then is kept.').waitFor({ timeout: 60_000 })
  const { takes: found } = await takes()
  expect(found).toHaveLength(1)
  expect(found[0]!.seconds).toBeGreaterThanOrEqual(onServer + kept - 0.001)
}, 180_000)
