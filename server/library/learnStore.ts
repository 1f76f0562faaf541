import { randomBytes } from 'node:crypto'
import type Database from 'libsql'
import type { Evidence, Features, Memory, Review } from '../drill/drill.ts'
import type { EpochTime, Seconds } from '../units.ts'
import { openLearnFile } from './learnFile.ts'
import { LibraryError } from './stageLibrary.ts'

/** A review with what is kept of it besides: time spent, what was said or typed, its practice day, and the item's features just before. */
export interface ReviewEntry extends Review {
  readonly stage: string
  readonly seconds: Seconds
  readonly said: string
  readonly day: string
  /** The clock stood before the item's last answer. */
  readonly setBack: boolean
  /** What the crew said beforehand of whether they know it; null when they were not asked. */
  readonly claimed: boolean | null
  /** Null for a listen, an edit, or the first meeting. */
  readonly features: Features | null
}

export interface StoredCall {
  readonly id: string
  /** Null when the call is no longer in the notes. */
  readonly position: number | null
  readonly text: string
  readonly key: string
  readonly before: string
  readonly after: string
  /** Ids of calls this one may be, for the crew to say. */
  readonly offered: readonly string[]
}

export interface StoredItem {
  readonly memory: Memory
  /** Its call's words were changed since it was last answered. */
  readonly changed: boolean
}

export interface StoredRide {
  readonly heard: number
  readonly position: number
  readonly fullToday: Seconds
  readonly day: string
}

/** What one answer changes, written as one. */
export interface Written {
  readonly entries: readonly ReviewEntry[]
  readonly items: readonly (StoredItem & { readonly id: string })[]
  readonly ride?: StoredRide
  readonly calls?: readonly StoredCall[]
}

type Row = Record<string, string | number | null>

/**
 * What was learnt, in an embedded SQLite (WAL, synchronous FULL): a write that has returned is on the disk. Never made anew over a file that is there: one that
 * cannot be read is put aside under its own name.
 */
export class LearnStore {
  readonly device: string
  /** What was wrong with the file found, in words. */
  readonly problem: string | null
  private readonly database: Database.Database
  private turn: number
  private readonly statements = new Map<string, Database.Statement>()

  constructor(folder: string, now: () => EpochTime) {
    const { database, problem } = openLearnFile(folder, now)
    this.database = database
    this.problem = problem
    database
      .prepare("INSERT OR IGNORE INTO settings (name, value) VALUES ('device', ?)")
      .run(randomBytes(6).toString('hex'))
    this.device = (database.prepare("SELECT value FROM settings WHERE name = 'device'").get() as Row).value as string
    // The newest line of this device has its highest turn; a log merged in never lies between.
    const last = database
      .prepare('SELECT turn FROM reviews WHERE device = ? ORDER BY seq DESC LIMIT 1')
      .get(this.device) as Row | undefined
    this.turn = Number(last?.turn ?? 0)
  }

  close(): void {
    this.database.close()
  }

  nextTurn(): number {
    return ++this.turn
  }

  /** All or nothing, on the disk when it returns. Lines whose id is there already are passed over. Throws LibraryError 507. */
  write(stage: string, { entries, items, ride, calls }: Written): void {
    const run = this.database.transaction(() => {
      for (const one of entries) this.addReview(one)
      for (const { id, memory, changed } of items) this.putItem(stage, id, memory, changed)
      if (ride)
        this.sql('INSERT OR REPLACE INTO rides (stage, heard, position, full_today, day) VALUES (?, ?, ?, ?, ?)').run(
          stage,
          ride.heard,
          ride.position,
          ride.fullToday,
          ride.day,
        )
      for (const call of calls ?? []) this.putCall(stage, call)
    })
    try {
      run()
    } catch (error) {
      throw new LibraryError(
        `What was learnt could not be saved (${(error as { code?: string }).code ?? 'unknown'}); the answer does not count. Free some space or mend the library folder's rights, then answer again.`,
        507,
      )
    }
  }

  has(id: string): boolean {
    return this.database.prepare('SELECT 1 FROM reviews WHERE id = ?').get(id) !== undefined
  }

  calls(stage: string): StoredCall[] {
    const rows = this.database
      .prepare('SELECT id, position, text, key, before, after, offered FROM calls WHERE stage = ? ORDER BY position')
      .raw()
      .all(stage) as [string, number | null, string, string, string, string, string][]
    return rows.map(([id, position, text, key, before, after, offered]) => ({
      id,
      position,
      text,
      key,
      before,
      after,
      offered: offered === '[]' ? [] : JSON.parse(offered),
    }))
  }

  items(stage: string): Map<string, StoredItem> {
    const rows = this.database
      .prepare('SELECT id, stability, difficulty, graded, met, successes, others, changed FROM items WHERE stage = ?')
      .raw()
      .all(stage) as [string, number, number, number, number, number, number, number][]
    return new Map(
      rows.map(([id, stability, difficulty, graded, met, successes, others, changed]) => [
        id,
        { memory: { stability, difficulty, graded, met, successes, others }, changed: changed === 1 },
      ]),
    )
  }

  /** The newest graded answers of all stages that had a past, oldest first: what the forecast learns from. */
  evidence(
    limit: number,
  ): (Evidence & { readonly stage: string; readonly day: string; readonly how: Review['how'] })[] {
    const rows = this.database
      .prepare(
        'SELECT stage, day, how, grade, f1, f2, f3, f4 FROM reviews WHERE f1 IS NOT NULL AND grade IS NOT NULL ORDER BY seq DESC LIMIT ?',
      )
      .raw()
      .all(limit) as [string, string, Review['how'], string, number, number, number, number][]
    return rows.reverse().map(([stage, day, how, grade, f1, f2, f3, f4]) => ({
      stage,
      day,
      how,
      recalled: grade !== 'no',
      inTime: grade === 'in time',
      features: [1, f1, f2, f3, f4],
    }))
  }

  /** Of typed and chosen answers that were wrong and judged beforehand: how many there are, and how many had been claimed as known. */
  claims(): { unknownChecked: number; falseClaims: number } {
    const row = this.database
      .prepare("SELECT COUNT(*), COALESCE(SUM(claimed), 0) FROM reviews WHERE claimed IS NOT NULL AND grade = 'no'")
      .raw()
      .get() as [number, number]
    return { unknownChecked: row[0], falseClaims: row[1] }
  }

  ride(stage: string): StoredRide | null {
    const row = this.database
      .prepare('SELECT heard, position, full_today, day FROM rides WHERE stage = ?')
      .raw()
      .get(stage) as [number, number, number, string] | undefined
    return row ? { heard: row[0], position: row[1], fullToday: row[2], day: row[3] } : null
  }

  /** Practice days of a stage, or of all, with the seconds spent on each; ascending. */
  days(stage: string | null): { day: string; seconds: Seconds }[] {
    const rows =
      stage === null
        ? this.database.prepare('SELECT day, SUM(seconds) FROM reviews GROUP BY day ORDER BY day').raw().all()
        : this.database
            .prepare('SELECT day, SUM(seconds) FROM reviews WHERE stage = ? GROUP BY day ORDER BY day')
            .raw()
            .all(stage)
    return (rows as [string, number][]).map(([day, seconds]) => ({ day, seconds }))
  }

  /** Everything ever written about a stage, in the order it was written here. */
  log(stage: string): ReviewEntry[] {
    return this.reviews('stage = ?', stage)
  }

  logOf(item: string): ReviewEntry[] {
    return this.reviews('item = ?', item)
  }

  events(): { id: string; content: unknown }[] {
    const rows = this.database.prepare('SELECT id, content FROM events ORDER BY id').raw().all() as [string, string][]
    return rows.map(([id, content]) => ({ id, content: JSON.parse(content) }))
  }

  putEvent(id: string, content: unknown): void {
    this.database.prepare('INSERT OR REPLACE INTO events (id, content) VALUES (?, ?)').run(id, JSON.stringify(content))
  }

  dropEvent(id: string): void {
    this.database.prepare('DELETE FROM events WHERE id = ?').run(id)
  }

  /** A statement that writes, prepared once; one that reads would hold its place in the file until it is run to its end. */
  private sql(text: string): Database.Statement {
    let statement = this.statements.get(text)
    if (!statement) {
      statement = this.database.prepare(text)
      this.statements.set(text, statement)
    }
    return statement
  }

  private addReview(one: ReviewEntry): void {
    const [, f1, f2, f3, f4] = one.features ?? [1, null, null, null, null]
    this.sql(
      'INSERT OR IGNORE INTO reviews (id, stage, item, device, turn, at, how, grade, seconds, said, day, set_back, claimed, f1, f2, f3, f4) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)',
    ).run(
      one.id,
      one.stage,
      one.item,
      one.device,
      one.turn,
      one.at,
      one.how,
      one.grade,
      one.seconds,
      one.said,
      one.day,
      one.setBack ? 1 : 0,
      one.claimed === null ? null : one.claimed ? 1 : 0,
      f1,
      f2,
      f3,
      f4,
    )
  }

  private putItem(stage: string, id: string, memory: Memory, changed: boolean): void {
    this.sql(
      'INSERT OR REPLACE INTO items (id, stage, stability, difficulty, graded, met, successes, others, changed) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)',
    ).run(
      id,
      stage,
      memory.stability,
      memory.difficulty,
      memory.graded,
      memory.met,
      memory.successes,
      memory.others,
      changed ? 1 : 0,
    )
  }

  private putCall(stage: string, call: StoredCall): void {
    this.sql(
      'INSERT OR REPLACE INTO calls (id, stage, position, text, key, before, after, offered) VALUES (?, ?, ?, ?, ?, ?, ?, ?)',
    ).run(call.id, stage, call.position, call.text, call.key, call.before, call.after, JSON.stringify(call.offered))
  }

  private reviews(where: string, value: string): ReviewEntry[] {
    const rows = this.database
      .prepare(
        `SELECT id, stage, item, device, turn, at, how, grade, seconds, said, day, set_back AS setBack, claimed, f1, f2, f3, f4 FROM reviews WHERE ${where} ORDER BY seq`,
      )
      .all(value) as Row[]
    return rows.map(
      ({ f1, f2, f3, f4, setBack, claimed, id, stage, item, device, turn, at, how, grade, seconds, said, day }) => ({
        id: id as string,
        stage: stage as string,
        item: item as string,
        device: device as string,
        turn: turn as number,
        at: at as number,
        how: how as Review['how'],
        grade: grade as Review['grade'],
        seconds: seconds as number,
        said: said as string,
        day: day as string,
        setBack: setBack === 1,
        claimed: claimed === null ? null : claimed === 1,
        features: f1 === null ? null : [1, f1 as number, f2 as number, f3 as number, f4 as number],
      }),
    )
  }
}
