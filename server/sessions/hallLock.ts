import Database from 'libsql'

/** Another process hosts the evenings of this folder. */
export class HallTaken extends Error {
  override readonly name = 'HallTaken'
}

/**
 * Holds a folder for one process: two hosts writing one log would tear it. The lock is SQLite's on an open file, so the system lets it go when the process
 * dies, however it dies. Throws HallTaken. The function given back lets go.
 */
export function lockHall(path: string): () => void {
  const database = new Database(path)
  try {
    database.exec('PRAGMA busy_timeout = 0')
    database.exec('PRAGMA locking_mode = EXCLUSIVE')
    database.exec('BEGIN EXCLUSIVE')
    database.exec('CREATE TABLE IF NOT EXISTS held (by TEXT)')
    database.exec('COMMIT')
  } catch (error) {
    database.close()
    if (/lock|busy/i.test((error as Error).message))
      throw new HallTaken(
        'Another Say When hosts club evenings from this library; use that one, or start this with --library and another folder.',
      )
    throw error
  }
  return () => database.close()
}
