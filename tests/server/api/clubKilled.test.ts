import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { ClubEvent } from '../../../server/sessions/clubWire.ts'
import { ServerProcess } from '../../bench/clubServer.ts'
import { clubSocket } from './clubServer.ts'

let library: string
let server: ServerProcess

beforeAll(async () => {
  library = mkdtempSync(join(tmpdir(), 'club-killed-'))
  server = new ServerProcess(library)
  await server.start()
})
afterAll(async () => {
  await server.kill('SIGTERM')
  rmSync(library, { recursive: true, force: true })
})

it('a host killed (kill -9) has the same room again: seats, the run, its moment, and what a phone missed, once', async () => {
  const { id: stage } = await server.post<{ id: string }>('/demo', {})
  const room = await server.post<{ code: string; key: string }>('/club', { title: 'Night' })
  const trainer = await clubSocket(server.port)
  trainer.say({ type: 'join', code: room.code, name: 'T', role: 'trainer', shown: false, key: room.key })
  await trainer.next('welcome')
  const crew = await clubSocket(server.port)
  crew.say({ type: 'join', code: room.code, name: 'A', role: 'driver', shown: false })
  const { me, boot } = await crew.next('welcome')
  trainer.say({ type: 'do', id: 1, act: { do: 'run', stage, mode: 'listen' } })
  await trainer.next('done')
  trainer.say({ type: 'do', id: 2, act: { do: 'start' } })
  const told = await new Promise<ClubEvent>((resolve) => {
    crew.socket.on('message', (data) => {
      const message = JSON.parse(String(data)) as { type: string; event?: ClubEvent }
      if (message.event?.kind === 'timeline') resolve(message.event)
    })
  })
  await server.kill('SIGKILL')
  await server.start(server.port)
  const back = await clubSocket(server.port)
  back.say({ type: 'resume', token: me.token, boot, seen: 1 })
  const welcome = await back.next('welcome')
  expect(welcome.boot).not.toBe(boot)
  expect(welcome.missed).toEqual([told])
  expect(welcome.state.timeline).toEqual(told.kind === 'timeline' ? told.timeline : null)
  const plan = welcome.state.run!.plans[0]!.id
  const answer = await fetch(`${server.address}/api/club/plans/${plan}`, {
    headers: { authorization: `Bearer ${me.token}` },
  })
  expect(answer.status).toBe(200)
}, 60_000)
