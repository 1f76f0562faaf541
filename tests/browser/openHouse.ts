import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { type Browser, chromium } from 'playwright-core'
import { type Running, startServer } from '../../server/api/serve.ts'
import { asking } from '../askServer.ts'

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

/** A microphone that beeps, and that every page may use. */
export const PRETENDED_MICROPHONE = ['--use-fake-ui-for-media-stream', '--use-fake-device-for-media-stream']

/** A microphone that hears a WAV file, over and over unless the name ends in %noloop. */
export const microphoneThatHears = (file: string) => [
  ...PRETENDED_MICROPHONE,
  `--use-file-for-fake-audio-capture=${file}`,
]

/** How a browser is begun, with more flags where a test needs them. */
export const browserWith = (...flags: readonly string[]) => ({
  executablePath: '/usr/bin/chromium',
  args: [...ALWAYS, ...DRAWS_3D, ...flags],
})

export interface HouseOptions {
  readonly engine?: 'embedded' | 'silent'
  /** Seconds since 1970; a standing clock where nothing is given. */
  readonly now?: () => number
  readonly steady?: () => number
  /** More flags of the browser: a microphone, say. */
  readonly flags?: readonly string[]
}

/** A server on a library of its own and browsers beside it, all gone without a trace at `close`. */
export interface House {
  readonly library: string
  readonly server: Running
  readonly browser: Browser
  /** JSON from the server: method, path, body. */
  readonly ask: ReturnType<typeof asking>
  /** One browser more, with other flags. */
  launch(flags: readonly string[]): Promise<Browser>
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
  const browsers = [await chromium.launch(browserWith(...(options.flags ?? [])))]
  return {
    library,
    server,
    browser: browsers[0]!,
    ask: asking(() => server.address),
    async launch(flags) {
      const one = await chromium.launch(browserWith(...flags))
      browsers.push(one)
      return one
    },
    async close() {
      for (const one of browsers) await one.close()
      await server.stop()
      rmSync(library, { recursive: true, force: true })
    },
  }
}
