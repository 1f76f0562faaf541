import { mkdtempSync, readdirSync, readFileSync, renameSync, rmSync, symlinkSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { TakeStore } from '../../../server/library/takeStore.ts'
import { readWav } from '../../../server/speech/wav.ts'

let folder: string
let takes: TakeStore
const piece = (first: number, count: number) =>
  new Uint8Array(Int16Array.from({ length: count }, (_, i) => first + i).buffer)

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'say-when-takes-'))
  takes = new TakeStore(
    () => folder,
    () => 1_900_000_000,
  )
})
afterEach(() => rmSync(folder, { recursive: true, force: true }))

describe('a take on disk', () => {
  it('is a WAV file after every piece, whatever comes next', () => {
    const id = takes.create('a', { sampleRate: 16_000 })
    takes.writeSound('a', id, 0, piece(0, 100))
    takes.writeSound('a', id, 100, piece(100, 50))
    const { sampleRate, samples } = readWav(readFileSync(takes.soundFile('a', id)))
    expect([sampleRate, samples.length, samples[149]]).toEqual([16_000, 150, 149])
  })

  it('takes a piece twice, and pieces out of order, as one', () => {
    const id = takes.create('a', { sampleRate: 16_000 })
    for (const at of [100, 0, 100]) takes.writeSound('a', id, at, piece(at, 100))
    const { samples } = readWav(readFileSync(takes.soundFile('a', id)))
    expect([...samples]).toEqual(Array.from({ length: 200 }, (_, i) => i))
  })

  it('is gone with every file when it is deleted', () => {
    const id = takes.create('a', { sampleRate: 16_000 })
    takes.writeSound('a', id, 0, piece(0, 10))
    takes.keepHeard('a', id, {})
    takes.keepPresses('a', id, {})
    takes.erase('a', id)
    expect(readdirSync(join(folder, 'takes'))).toEqual([])
  })

  it('says in words that the disk is full, and keeps what was there', () => {
    const id = takes.create('a', { sampleRate: 16_000 })
    takes.writeSound('a', id, 0, piece(0, 10))
    const file = takes.soundFile('a', id)
    const before = readFileSync(file)
    // A device that is always full, in the place of the file.
    renameSync(file, `${file}.kept`)
    symlinkSync('/dev/full', file)
    expect(() => takes.writeSound('a', id, 10, piece(10, 10))).toThrow(/The disk is full.*sends it again/)
    expect(readFileSync(`${file}.kept`)).toEqual(before)
  })

  it('knows no path outside its folder', () => {
    expect(() => takes.read('a', '../../etc/passwd')).toThrow(/There is no take/)
  })

  it('lists what was cut off, with the sound it has', () => {
    const id = takes.create('a', { sampleRate: 16_000 })
    takes.writeSound('a', id, 0, piece(0, 10))
    const again = new TakeStore(
      () => folder,
      () => 0,
    )
    expect(again.list('a').map((take) => [take.id, take.samples, take.heard])).toEqual([[id, 10, null]])
  })
})
