import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll } from 'vitest'
import { type Running, startServer } from '../../../server/api/serve.ts'

/** A silent server on a library of its own with the notes-only demo in it, for the tests of one file. */
export function demoServer(name: string) {
  const library = mkdtempSync(join(tmpdir(), name))
  let server: Running
  let stage = ''
  const api = (path: string, init?: RequestInit) => fetch(`${server.address}/api${path}`, init)
  const post = (path: string, body: unknown) =>
    api(path, { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) })
  beforeAll(async () => {
    server = await startServer({
      port: 0,
      lan: false,
      library,
      engine: 'silent',
      now: () => 1_900_000_000,
      log: () => {},
    })
    stage = (await (await post('/demo', { which: 'quarry-steps' })).json()).id
  })
  afterAll(async () => {
    await server.stop()
    rmSync(library, { recursive: true })
  })
  return { library, api, post, address: () => server.address, stage: () => stage }
}
