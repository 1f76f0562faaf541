import { randomBytes } from 'node:crypto'
import { existsSync, mkdirSync, readdirSync, readFileSync, renameSync, rmSync, statSync } from 'node:fs'
import { join } from 'node:path'
import type { Anchor } from '../placement/placement.ts'
import type { EpochTime } from '../units.ts'
import { LibraryError } from './libraryError.ts'
import { openBundle } from './openBundle.ts'
import {
  type AddedRoad,
  addRoad,
  ending,
  isFirstRoad,
  type KeptRoad,
  type RoadUse,
  replaceRoad,
  roadsIn,
  type SetAside,
  setAsideRoad,
} from './roadFiles.ts'
import { StageIndex } from './stageIndex.ts'
import { writeWhole } from './writeWhole.ts'

export { LibraryError }

export interface StageFolder {
  readonly id: string
  readonly title: string
  /** stage.json beside its title, as it stands; unknown keys included. */
  readonly settings: Readonly<Record<string, unknown>>
  readonly notes: string
  readonly revision: number
  readonly route: KeptRoad | null
  /** Further files of the same road, as stage.json names them. */
  readonly moreRoutes: readonly KeptRoad[]
  readonly anchors: readonly Anchor[]
}

export interface StageEntry {
  readonly id: string
  readonly title: string
  readonly settings: Readonly<Record<string, unknown>>
  readonly hasRoute: boolean
  readonly updatedAt: EpochTime
  readonly problem: string | null
}

/** Versions of the notes kept beside the present ones. */
const KEPT_VERSIONS = 50

/**
 * Stages on disk, one folder each: stage.json, notes.txt byte for byte as typed, route.*, anchors.json, versions/. Every save is written beside,
 * synced and renamed, so that a crash leaves the old file or the new. Deleted stages go to trash/. The index is a copy that is made again when it is lost.
 */
export class StageLibrary {
  private readonly folder: string
  private readonly now: () => EpochTime
  private readonly index: StageIndex

  constructor(folder: string, now: () => EpochTime) {
    this.folder = folder
    this.now = now
    try {
      mkdirSync(join(folder, 'stages'), { recursive: true })
      const probe = join(folder, '.can-write')
      writeWhole(probe, '')
      rmSync(probe)
    } catch (error) {
      const code = (error as NodeJS.ErrnoException).code ?? 'unknown'
      throw new LibraryError(
        `The library folder "${folder}" cannot be written (${code}); choose another with --library DIR, or mend its rights.`,
        507,
      )
    }
    this.index = new StageIndex(folder)
    this.index.rebuild(this.ids().map((id) => this.entryOnDisk(id)))
  }

  close(): void {
    this.index.close()
  }

  /** Where a stage lies on disk. Throws LibraryError 404 for no such stage. */
  folderOf(id: string): string {
    return this.path(id)
  }

  list(): StageEntry[] {
    return this.index.list()
  }

  /** A new stage; the id is made of its title. */
  create(
    title: string,
    files: {
      notes?: string | Uint8Array
      settings?: Readonly<Record<string, unknown>>
      route?: { name: string; bytes: Uint8Array }
    },
  ): string {
    const id = `${slug(title)}-${randomBytes(3).toString('hex')}`
    const folder = join(this.folder, 'stages', id)
    this.guard(() => {
      mkdirSync(folder)
      writeWhole(join(folder, 'stage.json'), JSON.stringify({ title, ...files.settings }, null, 2))
      writeWhole(join(folder, 'notes.txt'), files.notes ?? '')
      if (files.route) writeWhole(join(folder, `route.${ending(files.route.name)}`), files.route.bytes)
    })
    this.index.put(this.entryOnDisk(id))
    return id
  }

  /** Throws LibraryError 404 for no such stage. A broken stage.json gives default settings: the notes are never lost with it. */
  read(id: string): StageFolder {
    const folder = this.path(id)
    const { settings, title } = this.settingsOf(id)
    const anchors = readJson(join(folder, 'anchors.json'))
    const notes = join(folder, 'notes.txt')
    return {
      id,
      title,
      settings,
      notes: existsSync(notes) ? readFileSync(notes, 'utf8') : '',
      revision: this.revision(id),
      ...roadsIn(folder, settings),
      anchors: Array.isArray(anchors) ? (anchors as Anchor[]) : [],
    }
  }

  /**
   * Saves the notes; what stood before is kept as a version. `base` is the revision the text was begun from: when another save came between, both texts are
   * kept and LibraryError 409 is thrown. Returns the new revision.
   */
  saveNotes(id: string, text: string, base: number): number {
    const folder = this.path(id)
    const current = this.revision(id)
    const file = join(folder, 'notes.txt')
    const before = existsSync(file) ? readFileSync(file) : Buffer.alloc(0)
    if (before.equals(Buffer.from(text, 'utf8'))) return current
    if (base !== current) {
      this.keepVersion(id, text)
      throw new LibraryError(
        'These notes were changed elsewhere in the meantime. Both texts are kept: yours is the newest under versions; reload to see the other.',
        409,
      )
    }
    this.guard(() => {
      // Bytes, not characters: notes that came in another encoding are kept as they were.
      if (before.length > 0) this.keepVersion(id, before)
      writeWhole(file, text)
      writeWhole(join(folder, '.revision'), String(current + 1))
    })
    this.index.put(this.entryOnDisk(id))
    return current + 1
  }

  versions(id: string): { id: string; savedAt: EpochTime; words: number }[] {
    const folder = join(this.path(id), 'versions')
    if (!existsSync(folder)) return []
    return readdirSync(folder)
      .filter((name) => /^\d+-\d+\.txt$/.test(name))
      .map((name) => ({
        id: name.slice(0, -4),
        savedAt: Number(name.split('-')[0]) / 1000,
        words: readFileSync(join(folder, name), 'utf8').split(/\s+/).filter(Boolean).length,
      }))
      .sort((a, b) => b.savedAt - a.savedAt || b.id.localeCompare(a.id))
  }

  version(id: string, version: string): string {
    if (!/^\d+-\d+$/.test(version)) throw new LibraryError(`There is no version "${version}" of these notes.`, 404)
    const file = join(this.path(id), 'versions', `${version}.txt`)
    if (!existsSync(file)) throw new LibraryError(`There is no version "${version}" of these notes.`, 404)
    return readFileSync(file, 'utf8')
  }

  /** Title and settings; keys not given stay as they are. */
  change(
    id: string,
    change: { title?: string | undefined; settings?: Readonly<Record<string, unknown>> | undefined },
  ): void {
    const { title, settings } = this.settingsOf(id)
    const file = join(this.path(id), 'stage.json')
    this.guard(() => {
      if (existsSync(file) && readJson(file) === undefined) renameSync(file, `${file}.broken-${Math.round(this.now())}`)
      writeWhole(file, JSON.stringify({ ...settings, ...change.settings, title: change.title ?? title }, null, 2))
    })
    this.index.put(this.entryOnDisk(id))
  }

  /** A file in the place of the stage's first road file, or none. Returns where the one before is kept, or null when there was none. */
  saveRoute(id: string, file: { readonly name: string; readonly bytes: Uint8Array } | null): SetAside | null {
    const folder = this.path(id)
    const stamp = Math.round(this.now() * 1000)
    const before = this.guard(() =>
      file === null ? setAsideRoad(folder, stamp) : replaceRoad(folder, file.name, file.bytes, stamp),
    )
    this.index.put(this.entryOnDisk(id))
    return before
  }

  /** A further road file beside the first; it counts once stage.json names it. */
  addRoute(id: string, name: string, use: RoadUse, bytes: Uint8Array): AddedRoad {
    return this.guard(() => addRoad(this.path(id), name, use, bytes))
  }

  /** Further road files of a stage, as stage.json would name them; those that are not there are left out. */
  roadsOf(id: string, roads: readonly AddedRoad[]): readonly KeptRoad[] {
    return roadsIn(this.path(id), { roads }).moreRoutes
  }

  saveAnchors(id: string, anchors: readonly Anchor[]): void {
    const folder = this.path(id)
    this.guard(() => writeWhole(join(folder, 'anchors.json'), JSON.stringify(anchors)))
  }

  /** A bundle as a new stage beside those that are there; never over one. Resolves to its id and the names that no stage holds. Rejects with LibraryError. */
  async openBundle(zip: string): Promise<{ id: string; leftOut: string[] }> {
    const incoming = join(this.folder, 'stages', `.incoming-${randomBytes(6).toString('hex')}`)
    const { leftOut } = await openBundle(zip, incoming)
    const stage = readJson(join(incoming, 'stage.json')) as { title?: unknown } | undefined
    const id = `${slug(typeof stage?.title === 'string' ? stage.title : 'stage')}-${randomBytes(3).toString('hex')}`
    this.guard(() => renameSync(incoming, join(this.folder, 'stages', id)))
    this.index.put(this.entryOnDisk(id))
    return { id, leftOut }
  }

  /** To the trash, never erased. */
  remove(id: string): void {
    const folder = this.path(id)
    this.guard(() => {
      mkdirSync(join(this.folder, 'trash'), { recursive: true })
      renameSync(folder, join(this.folder, 'trash', `${Math.round(this.now())}-${id}`))
    })
    this.index.drop(id)
  }

  private ids(): string[] {
    return readdirSync(join(this.folder, 'stages'), { withFileTypes: true })
      .filter((entry) => entry.isDirectory() && VALID_ID.test(entry.name))
      .map((entry) => entry.name)
  }

  private path(id: string): string {
    const folder = join(this.folder, 'stages', id)
    if (!VALID_ID.test(id) || !existsSync(folder))
      throw new LibraryError(`There is no stage "${id.slice(0, 80)}" in this library.`, 404)
    return folder
  }

  private settingsOf(id: string): { title: string; settings: Record<string, unknown>; problem: string | null } {
    const file = join(this.path(id), 'stage.json')
    const json = existsSync(file) ? readJson(file) : {}
    const whole = json !== null && typeof json === 'object' && !Array.isArray(json)
    const { title, ...settings } = (whole ? json : {}) as Record<string, unknown>
    const problem = whole
      ? null
      : `stage.json of "${id}" cannot be read; its settings are the usual ones, notes and road are whole. Saving settings writes it anew and keeps the old file.`
    return { title: typeof title === 'string' && title !== '' ? title : id, settings, problem }
  }

  private entryOnDisk(id: string): StageEntry {
    const folder = this.path(id)
    const { title, settings, problem } = this.settingsOf(id)
    const names = readdirSync(folder)
    const updatedAt = Math.max(
      ...names.filter((name) => !name.startsWith('.')).map((name) => statSync(join(folder, name)).mtimeMs / 1000),
      0,
    )
    return { id, title, settings, hasRoute: names.some(isFirstRoad), updatedAt, problem }
  }

  private revision(id: string): number {
    const file = join(this.path(id), '.revision')
    return existsSync(file) ? Number(readFileSync(file, 'utf8')) || 0 : 0
  }

  private keepVersion(id: string, text: string | Uint8Array): void {
    const folder = join(this.path(id), 'versions')
    mkdirSync(folder, { recursive: true })
    const stamp = Math.round(this.now() * 1000)
    let turn = 0
    while (existsSync(join(folder, `${stamp}-${turn}.txt`))) turn++
    writeWhole(join(folder, `${stamp}-${turn}.txt`), text)
    const all = this.versions(id)
    for (const old of all.slice(KEPT_VERSIONS)) rmSync(join(folder, `${old.id}.txt`))
  }

  private guard<T>(write: () => T): T {
    try {
      return write()
    } catch (error) {
      if (error instanceof LibraryError) throw error
      const code = (error as NodeJS.ErrnoException).code ?? 'unknown'
      throw new LibraryError(
        `The library could not be written (${code}); nothing that was there is changed. Free some space or mend the folder's rights.`,
        507,
      )
    }
  }
}

const VALID_ID = /^[a-z0-9][a-z0-9-]{0,79}$/

const slug = (title: string) =>
  title
    .normalize('NFKD')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 60) || 'stage'

/** Parsed JSON; undefined when the file is absent or broken. */
function readJson(file: string): unknown {
  try {
    return JSON.parse(readFileSync(file, 'utf8'))
  } catch {
    return undefined
  }
}
