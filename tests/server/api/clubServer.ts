import { mkdtempSync, rmSync } from 'node:fs'
import { request } from 'node:http'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import WebSocket from 'ws'
import { type Running, type ServeOptions, startServer } from '../../../server/api/serve.ts'
import type { ClubReply } from '../../../server/sessions/clubWire.ts'

/** A server on a free port with the silent voice, and an evening open in it. */
export async function clubServer(more: Partial<ServeOptions> = {}) {
  const library = mkdtempSync(join(tmpdir(), 'club-api-'))
  const steady = () => (performance.timeOrigin + performance.now()) / 1000
  const running: Running = await startServer({
    port: 0,
    lan: false,
    library,
    engine: 'silent',
    now: steady,
    steady,
    log: () => {},
    ...more,
  })
  const port = Number(new URL(running.address).port)
  const post = (path: string, body: unknown, headers: Record<string, string> = {}) =>
    fetch(`${running.address}/api${path}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', ...headers },
      body: JSON.stringify(body),
    })
  return {
    running,
    port,
    library,
    post,
    open: async () =>
      (await (await post('/club', { title: 'Night' })).json()) as { room: string; code: string; key: string },
    stop: async () => {
      await running.stop()
      rmSync(library, { recursive: true, force: true })
    },
  }
}

/** A socket that keeps what it got; `next` waits for a kind of reply. */
export async function clubSocket(
  port: number,
  options: { origin?: string; host?: string; path?: string; address?: string } = {},
) {
  const socket = new WebSocket(`ws://${options.address ?? '127.0.0.1'}:${port}${options.path ?? '/club'}`, {
    ...(options.origin === undefined ? {} : { origin: options.origin }),
    ...(options.host === undefined ? {} : { headers: { host: options.host } }),
  })
  const got: ClubReply[] = []
  const waiting = new Set<() => void>()
  socket.on('message', (data) => {
    got.push(JSON.parse(String(data)) as ClubReply)
    for (const one of waiting) one()
  })
  const closed = new Promise<number>((resolve) => socket.once('close', (code) => resolve(code)))
  const opened = new Promise<string>((resolve) => {
    socket.once('open', () => resolve('open'))
    socket.once('unexpected-response', (_request, response) => resolve(String(response.statusCode)))
    socket.once('error', (error) => resolve(error.message))
  })
  socket.on('error', () => {})
  const state = await opened
  return {
    socket,
    state,
    closed,
    got,
    say: (message: unknown) => socket.send(JSON.stringify(message)),
    next: <T extends ClubReply['type']>(type: T) =>
      new Promise<Extract<ClubReply, { type: T }>>((resolve) => {
        const look = () => {
          const found = got.find((one) => one.type === type)
          if (!found) return
          waiting.delete(look)
          resolve(found as Extract<ClubReply, { type: T }>)
        }
        waiting.add(look)
        look()
      }),
  }
}

/** A request with any Host and Origin, as a rebound page or another machine would send it. */
export function asked(q: {
  port: number
  path: string
  host: string
  origin?: string
  address?: string
  method?: string
}): Promise<number> {
  return new Promise((resolve, reject) => {
    request(
      {
        port: q.port,
        host: q.address ?? '127.0.0.1',
        path: q.path,
        method: q.method ?? 'GET',
        headers: { host: q.host, ...(q.origin === undefined ? {} : { origin: q.origin }) },
      },
      (response) => {
        response.resume()
        resolve(response.statusCode ?? 0)
      },
    )
      .on('error', reject)
      .end()
  })
}
