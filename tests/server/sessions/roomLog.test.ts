import { appendFileSync, readFileSync, truncateSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { afterEach, expect, it } from 'vitest'
import { appendAndSync } from '../../../server/sessions/roomLog.ts'
import { evening } from './evening.ts'

const open: ReturnType<typeof evening>[] = []
const night = (more: Parameters<typeof evening>[0] = {}) => {
  const one = evening(more)
  open.push(one)
  return one
}
afterEach(() => {
  for (const one of open.splice(0)) {
    one.abandon()
    one.clean()
  }
})
const file = (club: ReturnType<typeof evening>) => join(club.folder, 'rooms', club.room, 'log.jsonl')

it('has an event on the disk before anybody hears of it', async () => {
  const club = night()
  const trainer = await club.trainer()
  await trainer.act({ do: 'lock', locked: true })
  expect(readFileSync(file(club), 'utf8')).toContain('"kind":"lock"')
})

it('passes over a line that a crash cut off, and the next one stands whole', async () => {
  const club = night()
  const trainer = await club.trainer()
  await trainer.act({ do: 'lock', locked: true })
  club.abandon()
  truncateSync(file(club), readFileSync(file(club)).length - 9)
  const again = night({ folder: club.folder })
  expect(again.state().locked).toBe(false)
  again.hall.host(again.room)!.tell({ kind: 'lock', locked: true })
  again.abandon()
  expect(night({ folder: club.folder }).state()).toMatchObject({ locked: true, seq: 1 })
})

it('goes on in memory when the disk is full, says so, and writes all when there is room again', async () => {
  let full = false
  const club = night({
    append: (fd, bytes) => {
      if (full) {
        appendAndSync(fd, bytes.subarray(0, 20))
        throw Object.assign(new Error('no space left on device'), { code: 'ENOSPC' })
      }
      appendAndSync(fd, bytes)
    },
  })
  const trainer = await club.trainer()
  full = true
  expect((await trainer.act({ do: 'lock', locked: true })).type).toBe('done')
  club.step(1)
  expect(trainer.last('roster').unsaved).toBe(true)
  full = false
  await trainer.act({ do: 'lock', locked: false })
  expect(club.log().unsaved).toBe(false)
  club.abandon()
  expect(night({ folder: club.folder }).state()).toMatchObject({ locked: false, seq: 2 })
})

it('does not read on over a hole in the numbers, and says which evening it is', async () => {
  const club = night()
  const trainer = await club.trainer()
  await trainer.act({ do: 'lock', locked: true })
  club.abandon()
  appendFileSync(file(club), `\n${JSON.stringify({ k: 'event', event: { seq: 5, at: 0, kind: 'end' } })}\n`)
  const again = night({ folder: club.folder })
  expect(again.errors.join('')).toContain('cannot be read back')
})

it('throws away a log without a beginning', () => {
  const club = night()
  club.abandon()
  writeFileSync(file(club), 'nonsense\n')
  expect(night({ folder: club.folder }).hall.rooms()).toHaveLength(1)
})
