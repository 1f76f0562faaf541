import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { AnswersTaken } from '../../../server/api/learnWire.ts'
import { asking } from '../../askServer.ts'
import { ServerProcess } from '../../bench/clubServer.ts'

let library: string
let server: ServerProcess
const ask = asking(() => server.address)

beforeAll(async () => {
  library = mkdtempSync(join(tmpdir(), 'learn-killed-'))
  server = new ServerProcess(library)
  await server.start()
})
afterAll(async () => {
  await server.kill('SIGTERM')
  rmSync(library, { recursive: true, force: true })
})

it('a server killed (kill -9) under an answer has every one after which it showed the next item', async () => {
  const { id } = await ask<{ id: string }>('POST', '/stages', {
    title: 'Killed',
    notes: '5 left\n3 right\n6 left\n2 right',
  })
  const shown: string[] = []
  let killed = Promise.resolve()
  const answers = (async () => {
    for (let i = 0; ; i++) {
      const sent = { id: `answer-${i}-x`, call: i % 4, how: 'self', grade: 'in time', seconds: 2 }
      const { next } = await ask<AnswersTaken>('POST', `/stages/${id}/learn/answers`, { answers: [sent] })
      if (next) shown.push(sent.id)
      // Under way with the next one when it is killed.
      if (i === 40) killed = server.kill('SIGKILL')
    }
  })()
  await expect(answers).rejects.toThrow()
  await killed
  await server.start()
  const { lines } = await ask<{ lines: { id: string }[] }>('GET', `/stages/${id}/learn/log`)
  const kept = new Set(lines.map((line) => line.id))
  expect(shown.length).toBeGreaterThan(40)
  expect(shown.filter((one) => !kept.has(one))).toEqual([])
}, 60_000)
