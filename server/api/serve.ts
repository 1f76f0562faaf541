import { readFileSync } from 'node:fs'
import { createServer, type Server } from 'node:http'
import { createServer as createSecureServer } from 'node:https'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { createSecureContext } from 'node:tls'
import { fileURLToPath } from 'node:url'
import { parseArgs } from 'node:util'
import { LearnStore } from '../library/learnStore.ts'
import { StageLibrary } from '../library/stageLibrary.ts'
import { TakeStore } from '../library/takeStore.ts'
import { ClipStore } from '../speech/clipStore.ts'
import { ENGINES } from '../speech/engines.ts'
import { VoiceFolder } from '../speech/voiceFolder.ts'
import { openVoices } from '../speech/voices.ts'
import type { EpochTime } from '../units.ts'
import { createApp } from './app.ts'
import { LAN_MEANS, openClub } from './club.ts'
import { LanDoors } from './lanDoors.ts'
import { LearnDesk } from './learnDesk.ts'
import { attachLive } from './live.ts'
import { certificateNames, ownAddresses, ownHost } from './network.ts'
import { StageDesk } from './stageDesk.ts'

const USUAL_PORT = 4317
const LOOPBACK = '127.0.0.1'
const root = fileURLToPath(new URL('../..', import.meta.url))
const STOP_PATIENCE_MS = 3000
/** How often a machine whose network is open looks for new addresses of its own. */
const WATCH_MS = 5000

export interface ServeOptions {
  readonly port: number
  readonly lan: boolean
  readonly library: string
  readonly engine: string
  readonly now: () => EpochTime
  /** The same time, finer and never set back while the process lives: what a club's clocks are held against. */
  readonly steady?: () => EpochTime
  /** Random numbers in [0, 1), for cabin noise; absent: none is drawn and noise is silence. */
  readonly random?: () => number
  /** An own certificate and its key, PEM: phones on https have a microphone. */
  readonly tls?: { readonly cert: string; readonly key: string }
  readonly log: (text: string) => void
}

export interface Running {
  readonly address: string
  /** Addresses of the club on the local network; empty while it is not open. */
  readonly lan: () => readonly string[]
  readonly stop: () => Promise<void>
}

/** Opens the library and listens. Rejects with LibraryError, or with the listen error. */
export async function startServer(options: ServeOptions): Promise<Running> {
  const library = new StageLibrary(options.library, options.now)
  const voices = new VoiceFolder(join(options.library, 'voices'))
  const engine = openVoices(await ENGINES[options.engine]!(), voices)
  const desk = new StageDesk(library, new ClipStore(engine, join(options.library, 'clips')))
  const { tls, log } = options
  const names = tls ? certificateNames(tls.cert) : []
  const learned = new LearnStore(options.library, options.now)
  const learn = new LearnDesk(desk, learned, options.now)
  let port = options.port
  const isOwnHost = (host: string | undefined) =>
    ownHost({ host, port, usualPort: tls ? 443 : 80, lan: doors.open, addresses: ownAddresses(), names })
  const club = openClub({ desk, library: options.library, now: options.steady ?? options.now, log })
  const app = createApp({
    desk,
    takes: new TakeStore((stage) => library.folderOf(stage), options.now),
    learn,
    pages: join(root, 'client', 'dist'),
    demos: join(root, 'routes-demo'),
    voices: { engine, folder: voices },
    passing: join(options.library, 'passing'),
    now: options.now,
    random: options.random ?? (() => 0.5),
    isOwnHost,
    club: {
      ...club,
      desk,
      secure: tls !== undefined,
      lan: {
        open: () => doors.open,
        addresses: () => ownAddresses().map((one) => `${tls ? 'https' : 'http'}://${one}:${port}`),
        change: (open) => doors.change(open),
      },
    },
    log,
  })
  const make = () => (tls ? createSecureServer(tls, app) : createServer(app))
  const server = make()
  const live = attachLive(server, desk, { isOwnHost, log, club: club.sockets.upgrade })
  const doors = new LanDoors({
    make: () => make().on('upgrade', live.upgrade),
    addresses: ownAddresses,
    port: () => port,
    log,
  })
  const shut = async () => {
    club.stop()
    await engine.close()
    await desk.roads.close()
    learned.close()
    library.close()
  }
  try {
    await listen(server, options.port, LOOPBACK)
    port = (server.address() as AddressInfo).port
    await doors.change(options.lan)
  } catch (error) {
    await shut()
    throw error
  }
  const watch = setInterval(() => void doors.refresh(), WATCH_MS).unref()
  return {
    address: `${tls ? 'https' : 'http'}://${LOOPBACK}:${port}`,
    lan: () => (doors.open ? ownAddresses().map((one) => `${tls ? 'https' : 'http'}://${one}:${port}/club`) : []),
    stop: async () => {
      clearInterval(watch)
      live.close()
      await doors.change(false)
      await new Promise<void>((resolve) => {
        server.close(() => resolve())
        server.closeIdleConnections()
        setTimeout(() => server.closeAllConnections(), STOP_PATIENCE_MS).unref()
        club.sockets.close()
      })
      await shut()
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
  q: {
    home: string
    now: () => EpochTime
    steady: () => EpochTime
    random: () => number
    out: (text: string) => void
    err: (text: string) => void
  },
): Promise<void> {
  const options = readOptions(argv, q)
  if (options === null) {
    process.exitCode = 2
    return
  }
  try {
    const running = await startServer({ ...options, now: q.now, steady: q.steady, random: q.random, log: q.err })
    q.out(`Say When is at ${running.address} (library: ${options.library})\n`)
    if (options.lan) {
      q.out(`${LAN_MEANS}\n`)
      for (const address of running.lan()) q.out(`  club: ${address}\n`)
      if (running.lan().length === 0) q.out('  This machine has no address on a network yet; it is looked for again.\n')
      if (!options.tls)
        q.out(
          '  Over plain http phones have no microphone and nothing offline; --cert FILE --key FILE gives them both.\n',
        )
    }
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
): Pick<ServeOptions, 'port' | 'lan' | 'library' | 'engine' | 'tls'> | null {
  try {
    const { values } = parseArgs({
      args: [...argv],
      options: {
        port: { type: 'string' },
        lan: { type: 'boolean' },
        library: { type: 'string' },
        engine: { type: 'string' },
        cert: { type: 'string' },
        key: { type: 'string' },
      },
    })
    const port = values.port === undefined ? USUAL_PORT : Number(values.port)
    if (!(Number.isInteger(port) && port >= 0 && port <= 65535))
      throw new Error(`--port "${values.port}" must be a whole number from 0 to 65535.`)
    const engine = values.engine ?? 'embedded'
    if (!(engine in ENGINES))
      throw new Error(`--engine "${engine}" is not known; there are ${Object.keys(ENGINES).join(', ')}.`)
    return {
      port,
      lan: values.lan ?? false,
      library: values.library ?? q.home,
      engine,
      ...readCertificate(values.cert, values.key),
    }
  } catch (error) {
    q.err(
      `${(error as Error).message}\nserve takes --port N, --lan, --cert FILE --key FILE, --library DIR, --engine NAME.\n`,
    )
    return null
  }
}

/** Both files, or neither. Throws with what is wrong with them. */
function readCertificate(cert: string | undefined, key: string | undefined): { tls?: { cert: string; key: string } } {
  if (cert === undefined && key === undefined) return {}
  if (cert === undefined || key === undefined)
    throw new Error('--cert and --key go together: a certificate and its private key, both PEM files.')
  const tls = { cert: readFileSync(cert, 'utf8'), key: readFileSync(key, 'utf8') }
  try {
    createSecureContext(tls)
    certificateNames(tls.cert)
  } catch (error) {
    throw new Error(`--cert ${cert} and --key ${key} are not a certificate and its key: ${(error as Error).message}.`)
  }
  return { tls }
}
