import { spawnSync } from 'node:child_process'
import { mkdtempSync, readdirSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'

const root = fileURLToPath(new URL('../../..', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'full-disk-'))
afterAll(() => rmSync(folder, { recursive: true }))

// The shell's file-size limit makes the system refuse the write half way, as a full disk does.
describe('a disk that is full while a run is being written', () => {
  const out = join(folder, 'run.wav')
  const done = spawnSync(
    'bash',
    ['-c', `ulimit -f 400; exec node server/launch.mjs speak routes-demo/quarry-steps --out "$0"`, out],
    { cwd: root, encoding: 'utf8', env: { ...process.env, SAY_WHEN_LIBRARY: join(folder, 'library') } },
  )
  it('is the input at fault, in one sentence', () => {
    expect(done.stderr).toMatch(/run\.wav" cannot be written \(EFBIG, .* full\); nothing was left behind\.\n$/)
    expect(done.status).toBe(1)
  })
  it('leaves no half file', () => expect(readdirSync(folder)).toEqual(['library']))
})
