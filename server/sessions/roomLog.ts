import {
  closeSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
  writeSync,
} from 'node:fs'
import { basename, join } from 'node:path'
import { type LogEntry, Room } from './room.ts'

/** What a room is written to. `append` returns once the entry is safe, or says that it is not. */
export interface RoomLog {
  append(entries: readonly LogEntry[]): void
  /** Whether some entries could not be written: the evening goes on, in memory. */
  readonly unsaved: boolean
  /** Ends the log: moved to where evenings are kept, with `results` beside it, or deleted with its folder (null). */
  end(results: string | null): void
  close(): void
}

/** Writes bytes at the end of a file, and syncs; tests put a full disk in its place. */
export type Append = (file: number, bytes: Uint8Array) => void

export const appendAndSync: Append = (file, bytes) => {
  for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at)
  fsyncSync(file)
}

/** Entries held while the disk is full; beyond it the evening's newest results are lost on a crash, and only then. */
const MOST_HELD = 200_000

/** A room's log as one JSON line an entry, in a folder of its own: log.jsonl, and plans beside it. */
export function openRoomLog(folder: string, append: Append = appendAndSync): RoomLog {
  mkdirSync(folder, { recursive: true })
  const file = openSync(join(folder, 'log.jsonl'), 'a')
  /** A line cut off by a crash or a full disk must not swallow the one after it. */
  let torn = true
  let held: string[] = []
  return {
    append(entries) {
      held.push(...entries.map((entry) => JSON.stringify(entry)))
      try {
        append(file, Buffer.from(`${torn ? '\n' : ''}${held.join('\n')}\n`, 'utf8'))
        torn = false
        held = []
      } catch (error) {
        if (!['ENOSPC', 'EDQUOT', 'EIO', 'EROFS'].includes((error as NodeJS.ErrnoException).code ?? '')) throw error
        torn = true
        held = held.slice(-MOST_HELD)
      }
    },
    get unsaved() {
      return held.length > 0
    },
    end(results) {
      closeSync(file)
      if (results !== null) {
        const kept = join(folder, '..', '..', 'kept')
        mkdirSync(kept, { recursive: true })
        writeFileSync(join(folder, 'results.csv'), results)
        renameSync(folder, join(kept, basename(folder)))
      } else rmSync(folder, { recursive: true, force: true })
    },
    close: () => closeSync(file),
  }
}

/**
 * The room a log tells of; null when it has no beginning. Lines cut off are passed over, since they were never acknowledged. An entry written twice, as after
 * a full disk, counts once.
 */
export function readRoom(folder: string): Room | null {
  let room: Room | null = null
  const text = readFileSync(join(folder, 'log.jsonl'), 'utf8')
  for (const line of text.split('\n')) {
    const entry = readLine(line)
    if (entry === null) continue
    if (room === null) {
      if (entry.k !== 'room') return null
      room = new Room(entry)
    } else if (!repeats(room, entry)) room.apply(entry)
  }
  return room
}

function readLine(line: string): LogEntry | null {
  if (line === '') return null
  try {
    return JSON.parse(line) as LogEntry
  } catch {
    return null
  }
}

function repeats(room: Room, entry: LogEntry): boolean {
  if (entry.k === 'room') return true
  if (entry.k === 'event') return entry.event.seq <= room.state.seq
  if (entry.k === 'tap') return room.knows(entry.tap.member, entry.tap.id)
  if (entry.k === 'answer') return room.knows(entry.answer.member, entry.answer.id)
  if (entry.k === 'vote') return room.knows(entry.member, entry.id)
  return false
}
