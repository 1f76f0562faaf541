import { spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { request } from 'node:https'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, describe, expect, it } from 'vitest'
import { certificateNames, ownHost } from '../../../server/api/network.ts'
import { serve } from '../../../server/api/serve.ts'
import { clubServer, clubSocket } from './clubServer.ts'

const folders: string[] = []
afterEach(() => {
  for (const one of folders.splice(0)) rmSync(one, { recursive: true, force: true })
  process.exitCode = 0
})

/** A certificate of one day for "localhost" and one address, made by openssl where it is installed. */
function certificate(): { cert: string; key: string } | null {
  const folder = mkdtempSync(join(tmpdir(), 'cert-'))
  folders.push(folder)
  const [key, cert] = [join(folder, 'key.pem'), join(folder, 'cert.pem')]
  const made = spawnSync('openssl', [
    ...['req', '-x509', '-newkey', 'rsa:2048', '-nodes', '-days', '1', '-subj', '/CN=localhost'],
    ...['-addext', 'subjectAltName=DNS:localhost,DNS:club.home,IP:127.0.0.1', '-keyout', key, '-out', cert],
  ])
  return made.status === 0 ? { cert, key } : null
}
const files = certificate()
const pem = files && { cert: readFileSync(files.cert, 'utf8'), key: readFileSync(files.key, 'utf8') }

describe('an own certificate', () => {
  it.skipIf(!pem)('puts pages and sockets on https', async () => {
    const club = await clubServer({ tls: pem! })
    try {
      expect(club.running.address).toMatch(/^https:/)
      const secure = await new Promise<string>((resolve, reject) => {
        request(`${club.running.address}/api/club`, { rejectUnauthorized: false }, (response) => {
          let text = ''
          response.on('data', (data) => {
            text += data
          })
          response.on('end', () => resolve(text))
        })
          .on('error', reject)
          .end()
      })
      expect(JSON.parse(secure).secure).toBe(true)
    } finally {
      await club.stop()
    }
  })

  it.skipIf(!pem)('names the hosts that phones may ask for', () => {
    const names = certificateNames(pem!.cert)
    expect(names).toEqual(['localhost', 'club.home', '127.0.0.1'])
    const q = { port: 4317, usualPort: 443, addresses: [], names }
    expect(ownHost({ ...q, host: 'club.home:4317', lan: true })).toBe(true)
    expect(ownHost({ ...q, host: 'club.home:4317', lan: false })).toBe(false)
  })

  it.each([
    [['--cert', '/nowhere.pem'], '--cert and --key go together'],
    [['--cert', '/nowhere.pem', '--key', '/nowhere.pem'], 'no such file'],
    [['--cert', 'package.json', '--key', 'package.json'], 'are not a certificate and its key'],
  ])('%j is refused in a sentence', async (args, sentence) => {
    const said: string[] = []
    await serve(args, {
      home: '/nowhere',
      now: () => 0,
      steady: () => 0,
      random: () => 0.5,
      out: () => {},
      err: (text) => said.push(text),
    })
    expect(said.join('')).toContain(sentence)
    expect(process.exitCode).toBe(2)
  })
})

describe('the host that is stopped and started', () => {
  it('has the same evening: seat, code and what was told', async () => {
    const first = await clubServer()
    const room = await first.open()
    const page = await clubSocket(first.port)
    page.say({ type: 'join', code: room.code, name: 'A', role: 'trainer', shown: false, key: room.key })
    const { me, boot } = await page.next('welcome')
    page.say({ type: 'do', id: 1, act: { do: 'lock', locked: true } })
    await page.next('done')
    await first.running.stop()
    expect(await page.closed).toBe(1001)
    const again = await clubServer({ library: first.library })
    try {
      const back = await clubSocket(again.port)
      back.say({ type: 'resume', token: me.token, boot, seen: 0 })
      const welcome = await back.next('welcome')
      expect(welcome.boot).not.toBe(boot)
      expect(welcome.missed?.map((one) => one.kind)).toEqual(['lock'])
    } finally {
      await again.stop()
      rmSync(first.library, { recursive: true, force: true })
    }
  })

  it('beside another on the same library: the second says so and hosts no evening', async () => {
    const first = await clubServer()
    const second = await clubServer({ library: first.library })
    try {
      const answer = await second.post('/club', { title: 'Night' })
      expect(answer.status).toBe(409)
      expect(((await answer.json()) as { detail: string }).detail).toContain('Another Say When hosts')
    } finally {
      await second.running.stop()
      await first.stop()
    }
  })
})
