import { existsSync, mkdirSync, renameSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'libsql'
import type { EpochTime } from '../units.ts'
import { LEARN_TABLES } from './learnTables.ts'

/**
 * learning.db of a library folder, made where there is none. One that cannot be read is put aside under its own name and the moment, never written over;
 * `problem` then says so in words.
 */
export function openLearnFile(
  folder: string,
  now: () => EpochTime,
): { database: Database.Database; problem: string | null } {
  mkdirSync(folder, { recursive: true })
  const file = join(folder, 'learning.db')
  try {
    return { database: open(file), problem: null }
  } catch {
    const aside = `${file}.broken-${Math.round(now())}`
    for (const suffix of ['', '-wal', '-shm']) if (existsSync(file + suffix)) renameSync(file + suffix, aside + suffix)
    const problem = `What was learnt could not be read and is put aside as ${aside}; learning begins anew.`
    return { database: open(file), problem }
  }
}

function open(file: string): Database.Database {
  const database = new Database(file)
  // Another program on the same library waits its turn for a moment.
  database.exec('PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA busy_timeout = 3000')
  database.exec(LEARN_TABLES)
  // Every column by name: a file of another layout is no file of ours.
  database.prepare('SELECT seq, id, item, device, turn, at, how, grade, f4 FROM reviews LIMIT 1').get()
  return database
}
