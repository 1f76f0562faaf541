import { existsSync, readdirSync } from 'node:fs'
import { connect } from 'node:net'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { ownAddresses } from '../../../server/api/network.ts'
import { asked, clubServer, clubSocket } from './clubServer.ts'

// Each line of docs/security.md has its test here or in tests/server/sessions; the names of the lines are the names of the tests.

let here: Awaited<ReturnType<typeof clubServer>>
let lan: Awaited<ReturnType<typeof clubServer>>
const network = ownAddresses()[0]

beforeAll(async () => {
  here = await clubServer()
  lan = await clubServer({ lan: true })
})
afterAll(async () => {
  await here.stop()
  await lan.stop()
})

const refusedAt = (address: string, port: number) =>
  new Promise<boolean>((resolve) => {
    const socket = connect({ host: address, port })
    socket.once('connect', () => {
      socket.destroy()
      resolve(false)
    })
    socket.once('error', () => resolve(true))
  })

describe('who reaches the server', () => {
  it.skipIf(!network)('only this machine, until the network is opened', async () => {
    expect(await refusedAt(network!, here.port)).toBe(true)
    expect(await refusedAt(network!, lan.port)).toBe(false)
  })

  it.skipIf(!network)('nobody on the network any more once it is closed again, and who came in is out', async () => {
    const change = (open: boolean) =>
      fetch(`${lan.running.address}/api/club/lan`, {
        method: 'PUT',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ open }),
      })
    const guest = await clubSocket(lan.port, { address: network! })
    expect(guest.state).toBe('open')
    await change(false)
    expect(await guest.closed).toBe(1006)
    expect(await refusedAt(network!, lan.port)).toBe(true)
    await change(true)
    expect(await refusedAt(network!, lan.port)).toBe(false)
  })

  it.each([
    ['a name of a stranger that points here (DNS rebinding)', 'evil.example'],
    ['another port', '127.0.0.1:1'],
    ['a name that only begins like ours', 'localhost.evil.example'],
    ['an address that is not ours', '203.0.113.7'],
  ])('not %s', async (_what, host) => {
    for (const { port } of [here, lan]) {
      const named = host.includes(':') ? host : `${host}:${port}`
      expect(await asked({ port, path: '/api/stages', host: named })).toBe(403)
      expect((await clubSocket(port, { host: named })).state).toBe('403')
    }
  })

  it('not a page of another origin, by request or by socket', async () => {
    const host = `127.0.0.1:${here.port}`
    expect(await asked({ port: here.port, path: '/api/club', host, origin: 'https://evil.example' })).toBe(403)
    expect((await clubSocket(here.port, { origin: 'https://evil.example' })).state).toBe('403')
    expect((await clubSocket(here.port, { origin: 'null' })).state).toBe('403')
    expect((await clubSocket(here.port, { origin: `http://${host}` })).state).toBe('open')
  })
})

describe('what the network reaches', () => {
  it.skipIf(!network).each([
    ['GET', '/api/stages', 403],
    ['POST', '/api/stages', 403],
    ['DELETE', '/api/stages/x', 403],
    ['PUT', '/api/stages/x/notes', 403],
    ['GET', '/api/vocabulary', 403],
    ['POST', '/api/demo', 403],
    ['POST', '/api/club', 403],
    ['GET', '/api/club', 403],
    ['PUT', '/api/club/lan', 403],
    ['GET', '/api/club/plans/aaaaaaaaaaaaaaaaaaaaaaaa', 401],
    ['GET', '/api/club/results.csv', 401],
    ['POST', '/api/club/end', 401],
    ['GET', '/', 302],
    ['GET', '/stages/x/write', 302],
    ['GET', '/api/clips/../../etc/passwd', 403],
    ['GET', '/api/clips/..%2f..%2fhall.lock', 403],
    ['GET', '/api/club/plans/..%2f..%2frooms', 401],
    ['GET', '/assets/..%2f..%2f..%2fpackage.json', 403],
  ] as const)('%s %s answers %i', async (method, path, status) => {
    expect(await asked({ port: lan.port, path, method, host: `${network}:${lan.port}`, address: network! })).toBe(
      status,
    )
  })

  it.skipIf(!network)('not the live socket of the editor', async () => {
    expect((await clubSocket(lan.port, { address: network!, path: '/live' })).state).toBe('403')
    expect((await clubSocket(lan.port, { path: '/live' })).state).toBe('open')
  })
})

describe('frames that are no messages', () => {
  it('of 10 MB are refused by the protocol: 1009 (RFC 6455)', async () => {
    const { socket, closed } = await clubSocket(here.port)
    socket.send('x'.repeat(10_000_000))
    expect(await closed).toBe(1009)
  })

  it('that are not UTF-8: 1007 (RFC 6455)', async () => {
    const { socket, closed } = await clubSocket(here.port)
    socket.send(Buffer.from([0xc3, 0x28]), { binary: false })
    expect(await closed).toBe(1007)
  })

  it('that are binary: 1003 (RFC 6455)', async () => {
    const { socket, closed } = await clubSocket(here.port)
    socket.send(Buffer.alloc(10))
    expect(await closed).toBe(1003)
  })

  it('ten thousand a second end with 4029, and another phone hears its answer', async () => {
    const { code } = await here.open()
    const quiet = await clubSocket(here.port)
    quiet.say({ type: 'join', code, name: 'Quiet', role: 'driver', shown: false })
    await quiet.next('welcome')
    const wild = await clubSocket(here.port)
    for (let i = 0; i < 10_000; i++) wild.socket.send('{"type":"t","id":1}')
    expect(await wild.closed).toBe(4029)
    quiet.say({ type: 't', id: 9 })
    expect((await quiet.next('t')).id).toBe(9)
  })
})

describe('a seat', () => {
  async function seat(role: string, extra: Record<string, unknown> = {}) {
    const room = await here.open()
    const page = await clubSocket(here.port)
    page.say({
      type: 'join',
      code: room.code,
      name: '=HYPERLINK("x")',
      role,
      shown: true,
      ...(role === 'trainer' ? { key: room.key } : {}),
      ...extra,
    })
    const { me } = await page.next('welcome')
    return { page, room, me, headers: { authorization: `Bearer ${me.token}` } }
  }

  it('of a crew cannot end the night, list stages, or read the results of others', async () => {
    const { headers } = await seat('driver')
    expect((await here.post('/club/end', { keep: false }, headers)).status).toBe(403)
    expect((await fetch(`${here.running.address}/api/club/stages`, { headers })).status).toBe(403)
    const csv = await (await fetch(`${here.running.address}/api/club/results.csv`, { headers })).text()
    expect(csv.trim().split('\r\n')).toHaveLength(1)
  })

  it('of a trainer runs only stages of the library: a path is no stage', async () => {
    const { page } = await seat('trainer')
    page.say({ type: 'do', id: 1, act: { do: 'run', stage: '../../etc', mode: 'listen' } })
    expect(await page.closed).toBe(4001)
  })

  it('cannot be taken by its id, or by a token of another room', async () => {
    const { me } = await seat('driver')
    const other = await here.open()
    const page = await clubSocket(here.port)
    page.say({ type: 'resume', token: `${other.room}.${me.token.split('.')[1]}`, boot: '', seen: 0 })
    expect((await page.next('refused')).why).toContain('join again')
  })

  it('leaves nothing on the disk when the night ends, and all when it is kept', async () => {
    const gone = await seat('trainer')
    await here.post('/club/end', { keep: false }, gone.headers)
    expect(existsSync(join(here.library, 'club', 'rooms', gone.room.room))).toBe(false)
    const kept = await seat('trainer')
    await here.post('/club/end', { keep: true }, kept.headers)
    expect(readdirSync(join(here.library, 'club', 'kept', kept.room.room)).sort()).toEqual(['log.jsonl', 'results.csv'])
  })
})

describe('pages', () => {
  it('run no inline script and ask no third party', async () => {
    const page = await fetch(`${here.running.address}/club`)
    const policy = page.headers.get('content-security-policy') ?? ''
    expect(policy).toContain("script-src 'self'")
    expect(policy).toContain("connect-src 'self'")
    expect(policy).toContain("default-src 'self'")
    expect(policy).not.toMatch(/script-src[^;]*unsafe-inline|https?:|\*/)
  })
})
