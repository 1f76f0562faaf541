import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { StageLibrary } from '../library/stageLibrary.ts'
import { TakeStore } from '../library/takeStore.ts'
import { ClipStore } from '../speech/clipStore.ts'
import { ENGINES } from '../speech/engines.ts'
import type { EpochTime } from '../units.ts'
import { createApp } from './app.ts'
import { attachLive } from './live.ts'
import { StageDesk } from './stageDesk.ts'

const USUAL_PORT = 4317
const LOOPBACK = '127.0.0.1'
const root = fileURLToPath(new URL('../..', import.meta.url))
const STOP_PATIENCE_MS = 3000

export interface ServeOptions {
  readonly port: number
  readonly lan: boolean
  readonly library: string
  readonly engine: string
  readonly now: () => EpochTime
  readonly log: (text: string) => void
}

export interface Running {
  readonly address: string
  readonly stop: () => Promise<void>
}

/** Opens the library and listens. Rejects with LibraryError, or with the listen error. */
export async function startServer(options: ServeOptions): Promise<Running> {
  const library = new StageLibrary(options.library, options.now)
  const engine = await ENGINES[options.engine]!()
  const desk = new StageDesk(library, new ClipStore(engine, join(options.library, 'clips')))
  let port = options.port
  const isOwnHost = (host: string | undefined) => {
    if (host === undefined) return false
    const name = host.replace(/:\d+$/, '').replace(/^\[|\]$/g, '')
    const own =
      ['127.0.0.1', 'localhost', '::1'].includes(name) ||
      (options.lan && /^[\d.]+$|^[0-9a-f:]+$|^[a-z0-9-]+(\.local)?$/i.test(name))
    return own && (host.endsWith(`:${port}`) || port === 80)
  }
  const app = createApp({
    desk,
    takes: new TakeStore((stage) => library.folderOf(stage), options.now),
    pages: join(root, 'client', 'dist'),
    demos: join(root, 'routes-demo'),
    isOwnHost,
    log: options.log,
  })
  const server = createServer(app)
  const live = attachLive(server, desk, { isOwnHost, log: options.log })
  try {
    await listen(server, options.port, options.lan ? '0.0.0.0' : LOOPBACK)
  } catch (error) {
    library.close()
    await engine.close()
    throw error
  }
  port = (server.address() as AddressInfo).port
  return {
    address: `http://${LOOPBACK}:${port}`,
    stop: async () => {
      live.close()
      await new Promise<void>((resolve) => {
        server.close(() => resolve())
        server.closeIdleConnections()
        setTimeout(() => server.closeAllConnections(), STOP_PATIENCE_MS).unref()
      })
      await engine.close()
      library.close()
    },
  }
}

function listen(server: Server, port: number, host: string): Promise<void> {
  return new Promise((resolve, reject) => {
    server.once('error', reject)
    server.listen(port, host, () => {
      server.off('error', reject)
      resolve()
    })
  })
}

/** `serve`: runs until it is told to stop. Exit 2 for a call that makes no sense, 1 for a port in use or a library that cannot be written. */
export async function serve(
  argv: readonly string[],
  q: { home: string; now: () => EpochTime; out: (text: string) => void; err: (text: string) => void },
): Promise<void> {
  const options = readOptions(argv, q)
  if (options === null) {
    process.exitCode = 2
    return
  }
  try {
    const running = await startServer({ ...options, now: q.now, log: q.err })
    q.out(`Say When is at ${running.address} (library: ${options.library})\n`)
    if (options.lan) q.out('It is open to the local network: anyone on it can reach it.\n')
    const stop = () => void running.stop().then(() => process.exit(0))
    process.once('SIGINT', stop)
    process.once('SIGTERM', stop)
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException
    q.err(
      code === 'EADDRINUSE'
        ? `Port ${options.port} is in use; stop the other program, or choose a port: npm start -- --port 0 takes any free one.\n`
        : `${message}\n`,
    )
    process.exitCode = 1
    setImmediate(() => process.exit(1))
  }
}

function readOptions(
  argv: readonly string[],
  q: { home: string; err: (text: string) => void },
): Pick<ServeOptions, 'port' | 'lan' | 'library' | 'engine'> | null {
  try {
    const { values } = parseArgs({
      args: [...argv],
      options: {
        port: { type: 'string' },
        lan: { type: 'boolean' },
        library: { type: 'string' },
        engine: { type: 'string' },
      },
    })
    const port = values.port === undefined ? USUAL_PORT : Number(values.port)
    if (!(Number.isInteger(port) && port >= 0 && port <= 65535))
      throw new Error(`--port "${values.port}" must be a whole number from 0 to 65535.`)
    const engine = values.engine ?? 'embedded'
    if (!(engine in ENGINES))
      throw new Error(`--engine "${engine}" is not known; there are ${Object.keys(ENGINES).join(', ')}.`)
    return { port, lan: values.lan ?? false, library: values.library ?? q.home, engine }
  } catch (error) {
    q.err(`${(error as Error).message}\nserve takes --port N, --lan, --library DIR, --engine NAME.\n`)
    return null
  }
}
