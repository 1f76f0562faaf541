import { rmSync } from 'node:fs'
import { join } from 'node:path'
import Database from 'libsql'
import type { StageEntry } from './stageLibrary.ts'

/**
 * The list of stages in an embedded SQLite (WAL, synchronous FULL), so that a library of thousands opens at once. It holds nothing that the folders do not:
 * a broken file is thrown away and made again.
 */
export class StageIndex {
  private readonly database: Database.Database

  constructor(folder: string) {
    const file = join(folder, 'index.db')
    this.database = openOrReplace(file)
  }

  rebuild(entries: readonly StageEntry[]): void {
    this.database.exec('DELETE FROM stages')
    for (const entry of entries) this.put(entry)
  }

  put(entry: StageEntry): void {
    this.database
      .prepare(
        'INSERT OR REPLACE INTO stages (id, title, settings, has_route, updated_at, problem) VALUES (?, ?, ?, ?, ?, ?)',
      )
      .run(
        entry.id,
        entry.title,
        JSON.stringify(entry.settings),
        entry.hasRoute ? 1 : 0,
        entry.updatedAt,
        entry.problem,
      )
  }

  drop(id: string): void {
    this.database.prepare('DELETE FROM stages WHERE id = ?').run(id)
  }

  /** Newest first. */
  list(): StageEntry[] {
    const rows = this.database
      .prepare('SELECT id, title, settings, has_route, updated_at, problem FROM stages ORDER BY updated_at DESC, id')
      .all() as {
      id: string
      title: string
      settings: string
      has_route: number
      updated_at: number
      problem: string | null
    }[]
    return rows.map((row) => ({
      id: row.id,
      title: row.title,
      settings: JSON.parse(row.settings),
      hasRoute: row.has_route === 1,
      updatedAt: row.updated_at,
      problem: row.problem,
    }))
  }

  close(): void {
    this.database.close()
  }
}

function openOrReplace(file: string): Database.Database {
  try {
    return open(file)
  } catch {
    for (const suffix of ['', '-wal', '-shm']) rmSync(file + suffix, { force: true })
    return open(file)
  }
}

function open(file: string): Database.Database {
  const database = new Database(file)
  database.exec('PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL')
  // Seconds since 1970; settings as JSON in SI units.
  database.exec(
    'CREATE TABLE IF NOT EXISTS stages (id TEXT PRIMARY KEY, title TEXT NOT NULL, settings TEXT NOT NULL, has_route INTEGER NOT NULL, updated_at REAL NOT NULL, problem TEXT)',
  )
  // Every column by name: a table of another layout is as good as broken.
  database.prepare('SELECT id, title, settings, has_route, updated_at, problem FROM stages LIMIT 1').get()
  return database
}
