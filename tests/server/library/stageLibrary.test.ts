import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import Database from 'libsql'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { StageLibrary } from '../../../server/library/stageLibrary.ts'

let folder: string
let library: StageLibrary
let clock = 1_900_000_000

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'say-when-library-'))
  library = new StageLibrary(folder, () => clock++)
})
afterEach(() => {
  library.close()
  rmSync(folder, { recursive: true, force: true })
})

describe('what a crew typed', () => {
  it('is kept as a version, byte for byte, in whatever encoding it came', () => {
    const latin1 = Uint8Array.from([0x35, 0x20, 0xe9, 0x0a])
    const id = library.create('Old notes', { notes: latin1 })
    library.saveNotes(id, '5 left', 0)
    const versions = join(folder, 'stages', id, 'versions')
    expect([...readFileSync(join(versions, readdirSync(versions)[0]!))]).toEqual([...latin1])
  })

  it('is kept on both sides when two saves began from one text', () => {
    const id = library.create('Two desks', { notes: '5 left' })
    library.saveNotes(id, '5 left, 60', 0)
    expect(() => library.saveNotes(id, '5 left long', 0)).toThrow(/Both texts are kept/)
    expect([library.read(id).notes, ...library.versions(id).map((one) => library.version(id, one.id))]).toEqual(
      expect.arrayContaining(['5 left, 60', '5 left long', '5 left']),
    )
  })

  it('goes to the trash, not away, when its stage is deleted', () => {
    const id = library.create('Deleted', { notes: '3 right' })
    library.remove(id)
    const gone = readdirSync(join(folder, 'trash'))[0]!
    expect(readFileSync(join(folder, 'trash', gone, 'notes.txt'), 'utf8')).toBe('3 right')
  })
})

describe('the index', () => {
  it('is made again when its file is of another layout', () => {
    const id = library.create('Still here', { notes: '5 left' })
    library.close()
    const old = new Database(join(folder, 'index.db'))
    old.exec('DROP TABLE stages; CREATE TABLE stages (name TEXT)')
    old.close()
    library = new StageLibrary(folder, () => clock++)
    expect(library.list().map((entry) => entry.id)).toEqual([id])
  })
})
