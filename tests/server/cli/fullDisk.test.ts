import { spawnSync } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'

const root = fileURLToPath(new URL('../../..', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'full-disk-'))
const stage = mkdtempSync(join(tmpdir(), 'full-disk-stage-'))
afterAll(() => {
  rmSync(folder, { recursive: true })
  rmSync(stage, { recursive: true })
})
/** The shell's file-size limit makes the system refuse the write half way, as a full disk does. */
const run = (command: string, path: string) =>
  spawnSync('bash', ['-c', `ulimit -f 400; exec node server/launch.mjs ${command}`, path], {
    cwd: root,
    encoding: 'utf8',
    env: { ...process.env, SAY_WHEN_LIBRARY: join(folder, 'library') },
  })

describe('a disk that is full while a run is being written', () => {
  const out = join(folder, 'run.wav')
  const done = run('speak routes-demo/quarry-steps --out "$0"', out)
  it('is the input at fault, in one sentence', () => {
    expect(done.stderr).toMatch(/run\.wav" cannot be written \(EFBIG, .* full\); nothing was left behind\.\n$/)
    expect(done.status).toBe(1)
  })
  it('leaves no half file', () => expect(readdirSync(folder)).toEqual(['library']))
})

describe('a disk that is full while stage.json of mended notes is being written', () => {
  const spoken = '60 for left over of a crest 64 right\n'
  writeFileSync(join(stage, 'notes.txt'), spoken)
  writeFileSync(join(stage, 'stage.json'), JSON.stringify({ title: 'F'.repeat(500_000) }))
  const done = run('check "$0" --fix certain --write', stage)
  it('leaves the notes as they were, as it says', () => {
    expect(done.stderr).toMatch(/stage\.json" cannot be written \(EFBIG\); the notes are unchanged\.\n$/)
    expect(readFileSync(join(stage, 'notes.txt'), 'utf8')).toBe(spoken)
  })
})
