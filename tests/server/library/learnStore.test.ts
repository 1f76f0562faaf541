import { spawn } from 'node:child_process'
import { once } from 'node:events'
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { LearnStore, type ReviewEntry } from '../../../server/library/learnStore.ts'

const NOW = 1_900_000_000
let folder: string
let store: LearnStore

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'say-when-learn-'))
  store = new LearnStore(folder, () => NOW)
})
afterEach(() => {
  store.close()
  rmSync(folder, { recursive: true, force: true })
})

const entry = (id: string, more: Partial<ReviewEntry> = {}): ReviewEntry => ({
  id,
  stage: 'a',
  item: 'one:say',
  device: store.device,
  turn: store.nextTurn(),
  at: NOW,
  how: 'typed',
  grade: 'in time',
  seconds: 4,
  said: '5 left',
  day: '2030-03-17',
  setBack: false,
  claimed: null,
  features: [1, -2, 0.7, 0, -1],
  ...more,
})
const memory = { stability: 2.3, difficulty: 2.1, graded: NOW, met: NOW, successes: 1, others: 0 }

describe('answers', () => {
  it('come back after closing as they were written', () => {
    const written = entry('x')
    store.write('a', { entries: [written], items: [{ id: 'one:say', memory, changed: true }] })
    store.close()
    store = new LearnStore(folder, () => NOW)
    expect(store.log('a')).toEqual([written])
    expect(store.items('a').get('one:say')).toEqual({ memory, changed: true })
    expect(store.nextTurn()).toBe(2)
  })

  it('count once when the same line comes twice', () => {
    store.write('a', { entries: [entry('x')], items: [] })
    store.write('a', { entries: [entry('x', { grade: 'no' })], items: [] })
    expect(store.log('a').map((one) => one.grade)).toEqual(['in time'])
  })

  it('are written with all that goes with them or not at all', () => {
    const broken = { ...memory, stability: null as unknown as number }
    expect(() =>
      store.write('a', { entries: [entry('x')], items: [{ id: 'one:say', memory: broken, changed: false }] }),
    ).toThrow(/does not count/)
    expect(store.log('a')).toEqual([])
  })

  it('teach the forecast newest last, without first meetings and listens', () => {
    store.write('a', {
      entries: [entry('x'), entry('y', { grade: null, how: 'listen', features: null }), entry('z', { grade: 'late' })],
      items: [],
    })
    expect(store.evidence(10).map((one) => [one.recalled, one.inTime])).toEqual([
      [true, true],
      [true, false],
    ])
    expect(store.evidence(1).map((one) => one.inTime)).toEqual([false])
  })

  it('add up to the seconds of each practice day', () => {
    store.write('a', { entries: [entry('x'), entry('y'), entry('z', { day: '2030-03-18' })], items: [] })
    expect(store.days('a')).toEqual([
      { day: '2030-03-17', seconds: 8 },
      { day: '2030-03-18', seconds: 4 },
    ])
  })
})

describe('when things go wrong', () => {
  it('loses no answer that was said to be written, when its program is killed', { timeout: 30_000 }, async () => {
    const program = fileURLToPath(new URL('./writeUntilKilled.ts', import.meta.url))
    const child = spawn(process.execPath, ['--import', 'tsx', program, folder], {
      stdio: ['ignore', 'pipe', 'inherit'],
    })
    let told = ''
    for await (const piece of child.stdout) {
      told += piece
      if (told.split('\n').length > 300) child.kill('SIGKILL')
    }
    if (child.signalCode === null && child.exitCode === null) await once(child, 'exit')
    expect(child.signalCode).toBe('SIGKILL')
    const acknowledged = told.split('\n').slice(0, -1).map(Number)
    store.close()
    store = new LearnStore(folder, () => NOW)
    const found = new Set(store.log('stage').map((one) => one.id))
    expect(acknowledged.length).toBeGreaterThan(290)
    expect(acknowledged.filter((i) => !found.has(`answer-${i}`))).toEqual([])
  })

  it('puts a broken file aside, never over it', () => {
    store.close()
    for (const suffix of ['-wal', '-shm']) rmSync(join(folder, `learning.db${suffix}`), { force: true })
    writeFileSync(join(folder, 'learning.db'), 'this is no database, but it is ours'.repeat(100))
    store = new LearnStore(folder, () => NOW)
    expect(store.problem).toMatch(/put aside/)
    expect(readdirSync(folder)).toContain(`learning.db.broken-${NOW}`)
  })
})
