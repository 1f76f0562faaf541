import type { IncomingMessage, Server } from 'node:http'
import type { Duplex } from 'node:stream'
import { type WebSocket, WebSocketServer } from 'ws'
import { CLOSE_REASONS } from './closeReasons.ts'
import { isLoopback } from './network.ts'
import { problemOf } from './problems.ts'
import type { StageDesk } from './stageDesk.ts'
import { type ClientMessage, clientMessageSchema, type ServerMessage } from './wire.ts'

const MOST_BYTES = 4 * 1024 * 1024
const MOST_WAITING = 64

/**
 * The live socket at /live: notes parsed as they are typed, plans for a moving slider, progress of the voice. One bounded queue a page, handled in order;
 * a newer parse or plan of the same kind takes the place of one still waiting. What is no message closes that page's connection, with the reason.
 */
export function attachLive(
  server: Server,
  desk: StageDesk,
  q: {
    isOwnHost: (host: string | undefined) => boolean
    log: (text: string) => void
    /** Takes connections at /club. */
    club: (request: IncomingMessage, socket: Duplex, head: Buffer) => void
  },
): { close: () => void; upgrade: (request: IncomingMessage, socket: Duplex, head: Buffer) => void } {
  const sockets = new WebSocketServer({ noServer: true, maxPayload: MOST_BYTES, perMessageDeflate: false })
  const upgrade = (request: IncomingMessage, socket: Duplex, head: Buffer) => {
    const { origin, host } = request.headers
    const path = (request.url ?? '').split('?')[0]
    const own = q.isOwnHost(host) && (origin === undefined || q.isOwnHost(safeHost(origin)))
    const atHome = isLoopback(request.socket.remoteAddress)
    if (own && path === '/club') q.club(request, socket, head)
    else if (own && atHome && path === '/live')
      sockets.handleUpgrade(request, socket, head, (page) => serve(page, desk, q.log))
    else {
      const found = own && path !== '/live'
      socket.end(`HTTP/1.1 ${found ? '404 Not Found' : '403 Forbidden'}\r\nConnection: close\r\n\r\n`)
    }
  }
  server.on('upgrade', upgrade)
  return {
    upgrade,
    close: () => {
      for (const page of sockets.clients) page.close(CLOSE_REASONS.stopping.code, CLOSE_REASONS.stopping.reason)
      sockets.close()
    },
  }
}

function safeHost(origin: string): string | undefined {
  try {
    return new URL(origin).host
  } catch {
    return undefined
  }
}

function serve(page: WebSocket, desk: StageDesk, log: (text: string) => void): void {
  const waiting: ClientMessage[] = []
  let busy = false
  const send = (message: ServerMessage) => {
    if (page.readyState === page.OPEN) page.send(JSON.stringify(message))
  }
  async function drain(): Promise<void> {
    if (busy) return
    busy = true
    for (let message = waiting.shift(); message; message = waiting.shift()) {
      try {
        await answer(message, desk, send)
      } catch (error) {
        const problem = problemOf(error)
        if (problem.status >= 500) log(`${(error as Error)?.stack ?? error}\n`)
        send({ type: 'problem', id: message.id, problem })
      }
    }
    busy = false
  }
  page.on('message', (data, binary) => {
    const message = binary ? null : decode(String(data))
    if (message === null) {
      waiting.length = 0
      page.close(CLOSE_REASONS.badMessage.code, CLOSE_REASONS.badMessage.reason)
      return
    }
    const same = waiting.findIndex(
      (one) => one.type === message.type && one.stage === message.stage && one.type !== 'speech.prepare',
    )
    if (same >= 0) waiting.splice(same, 1)
    if (waiting.length >= MOST_WAITING) {
      waiting.length = 0
      page.close(CLOSE_REASONS.tooMuch.code, CLOSE_REASONS.tooMuch.reason)
      return
    }
    waiting.push(message)
    void drain()
  })
  page.on('error', () => page.terminate())
}

function decode(text: string): ClientMessage | null {
  try {
    const parsed = clientMessageSchema.safeParse(JSON.parse(text))
    return parsed.success ? parsed.data : null
  } catch {
    return null
  }
}

async function answer(message: ClientMessage, desk: StageDesk, send: (message: ServerMessage) => void): Promise<void> {
  const { id } = message
  await desk.ready(message.stage).catch(() => {})
  switch (message.type) {
    case 'notes.parse':
      send({ type: 'notes.parsed', id, parsed: desk.parse(message.stage, message.text, message.repair ?? false) })
      return
    case 'plan.change':
      send({ type: 'plan.ready', id, plan: await desk.plan(message.stage, message.request) })
      return
    case 'speech.prepare':
      send({
        type: 'speech.ready',
        id,
        plan: await desk.prepareSpeech(message.stage, message.request, (done, total) =>
          send({ type: 'speech.progress', id, done, total }),
        ),
      })
      return
    default:
      message satisfies never
  }
}
