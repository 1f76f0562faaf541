import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type Browser, chromium } from 'playwright-core'
import { type Running, startServer } from '../../server/api/serve.ts'

/** A moment in 2030, so that no test depends on today. Seconds since 1970. */
const STANDING_CLOCK = 1_900_000_000

const ALWAYS = [
  '--no-sandbox',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--autoplay-policy=no-user-gesture-required',
]

/** What a browser needs to draw in three dimensions without a graphics card. */
const DRAWS_3D = ['--use-angle=swiftshader', '--enable-unsafe-swiftshader']

/** A browser whose microphone hears a WAV file, over and over unless the name ends in %noloop. */
const hears = (file: string) => [
  '--use-fake-ui-for-media-stream',
  '--use-fake-device-for-media-stream',
  `--use-file-for-fake-audio-capture=${file}`,
]

export const openBrowser = (microphone?: string): Promise<Browser> =>
  chromium.launch({
    executablePath: '/usr/bin/chromium',
    args: [...ALWAYS, ...DRAWS_3D, ...(microphone ? hears(microphone) : [])],
  })

export interface HouseOptions {
  readonly engine?: 'embedded' | 'silent'
  /** Seconds since 1970; a standing clock where nothing is given. */
  readonly now?: () => number
  readonly steady?: () => number
  /** WAV file the microphone hears. */
  readonly microphone?: string
}

/** A server on a library of its own and a browser beside it, both gone without a trace at `close`. */
export interface House {
  readonly library: string
  readonly server: Running
  readonly browser: Browser
  /** JSON from the server; `body` makes it a POST. Throws with the path and the answer where it is refused. */
  ask<T>(path: string, body?: unknown): Promise<T>
  close(): Promise<void>
}

export async function openHouse(options: HouseOptions = {}): Promise<House> {
  const library = mkdtempSync(join(tmpdir(), 'say-when-'))
  const server = await startServer({
    port: 0,
    lan: false,
    library,
    engine: options.engine ?? 'silent',
    now: options.now ?? (() => STANDING_CLOCK),
    ...(options.steady ? { steady: options.steady } : {}),
    log: () => {},
  })
  const browser = await openBrowser(options.microphone)
  return {
    library,
    server,
    browser,
    async ask<T>(path: string, body?: unknown) {
      const response = await fetch(`${server.address}/api${path}`, body === undefined ? {} : postOf(body))
      if (!response.ok) throw new Error(`${path}: ${response.status} ${await response.text()}`)
      return (response.status === 204 ? undefined : await response.json()) as T
    },
    async close() {
      await browser.close()
      await server.stop()
      rmSync(library, { recursive: true, force: true })
    },
  }
}

const postOf = (body: unknown): RequestInit => ({
  method: 'POST',
  headers: { 'content-type': 'application/json' },
  body: JSON.stringify(body),
})
