import { existsSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs'
import { basename, join } from 'node:path'
import { copyToVersions } from './copyToVersions.ts'
import { writeWhole } from './writeWhole.ts'

export type RoadUse = 'join' | 'average'

/** A road's file as it lies in a stage's folder. */
export interface KeptRoad {
  /** What it was called when it came. */
  readonly name: string
  /** Joined to the first by its nearest end, or another log of the same road to be averaged in. */
  readonly use: RoadUse
  /** Read when asked for: a long log is tens of megabytes, and most requests need only know whether it is still the same. */
  readonly bytes: Uint8Array
  /** Changes whenever the file does. */
  readonly stamp: string
  /** Bytes. */
  readonly size: number
}

/** A further file of a stage's road, beside route.*: where it lies in the stage's folder, and what it was called when it came. */
export interface AddedRoad {
  readonly file: string
  readonly name: string
  readonly use: RoadUse
}

/** A road file that another took the place of: what it is called among the versions, and what it was called when it came. */
export interface SetAside {
  readonly version: string
  readonly name: string
}

/** The first road file of a stage; not a part of one that a crash left behind. */
const FIRST = /^route\.[a-z0-9]{1,8}$/i
const ADDED = /^route-\d{1,4}\.[a-z0-9]{1,8}$/
const REPLACED = /^\d+-route\.[a-z0-9]{1,8}$/
/** What the first file was called lies beside it: stage.json is the crew's, and older ones do not say. */
const NAME_FILE = '.route-name'
const LONGEST_NAME = 200

export const isFirstRoad = (name: string): boolean => FIRST.test(name)

/** The further road files that stage.json names; anything of another form is passed over, so that no name leads out of the folder. */
export function addedRoads(settings: Readonly<Record<string, unknown>>): AddedRoad[] {
  const list = Array.isArray(settings.roads) ? (settings.roads as unknown[]) : []
  return list.flatMap((one): AddedRoad[] => {
    const { file, name, use } = (one ?? {}) as Partial<AddedRoad>
    if (typeof file !== 'string' || !ADDED.test(file)) return []
    return [{ file, name: typeof name === 'string' ? name : file, use: use === 'average' ? 'average' : 'join' }]
  })
}

/** The first road file of a folder and those that stage.json names beside it and that are there. */
export function roadsIn(
  folder: string,
  settings: Readonly<Record<string, unknown>>,
): { readonly route: KeptRoad | null; readonly moreRoutes: readonly KeptRoad[] } {
  const first = readdirSync(folder).find(isFirstRoad)
  const added = addedRoads(settings).filter(({ file }) => existsSync(join(folder, file)))
  return {
    route: first === undefined ? null : kept(join(folder, first), firstName(folder) ?? first, 'join'),
    moreRoutes: added.map(({ file, name, use }) => kept(join(folder, file), name, use)),
  }
}

function kept(path: string, name: string, use: RoadUse): KeptRoad {
  const { ino, mtimeMs, size } = statSync(path)
  let bytes: Uint8Array | null = null
  return {
    name,
    use,
    stamp: `${ino}-${mtimeMs}-${size}`,
    size,
    get bytes() {
      bytes ??= readFileSync(path)
      return bytes
    },
  }
}

function firstName(folder: string): string | null {
  const file = join(folder, NAME_FILE)
  return existsSync(file) ? readFileSync(file, 'utf8') : null
}

/** Takes the first road file out of the stage; it stays in versions/ under `stamp`. Returns where, or null when there was none. */
export function setAsideRoad(folder: string, stamp: number): SetAside | null {
  const before = copyFirst(folder, stamp)
  for (const old of firstFiles(folder)) rmSync(join(folder, old))
  return before
}

/**
 * Puts a file in the first one's place, which is set aside. Returns where that is now, or null when there was none. Whatever fails on the way, the road
 * before is still the stage's.
 */
export function replaceRoad(folder: string, name: string, bytes: Uint8Array, stamp: number): SetAside | null {
  const next = `route.${ending(name)}`
  const before = copyFirst(folder, stamp)
  writeWhole(join(folder, next), bytes)
  for (const old of firstFiles(folder)) if (old !== next) rmSync(join(folder, old))
  writeWhole(join(folder, NAME_FILE), basename(name).slice(0, LONGEST_NAME))
  return before
}

const firstFiles = (folder: string) => readdirSync(folder).filter(isFirstRoad)

function copyFirst(folder: string, stamp: number): SetAside | null {
  const called = firstName(folder)
  const copies = firstFiles(folder).map((old) => ({
    version: copyToVersions(folder, old, (turn) => `${stamp + turn}-${old}`),
    name: called ?? old,
  }))
  return copies.at(-1) ?? null
}

/** Puts a file beside the first one. Returns how stage.json is to name it. */
export function addRoad(folder: string, name: string, use: RoadUse, bytes: Uint8Array): AddedRoad {
  let number = 2
  const taken = readdirSync(folder)
  while (taken.some((one) => one.startsWith(`route-${number}.`))) number++
  const file = `route-${number}.${ending(name)}`
  writeWhole(join(folder, file), bytes)
  return { file, name: basename(name).slice(0, LONGEST_NAME), use }
}

/** A road file that was replaced, from versions/; null where it is not there. */
export function replacedRoad(folder: string, version: string): Uint8Array | null {
  const file = join(folder, 'versions', version)
  return REPLACED.test(version) && existsSync(file) ? readFileSync(file) : null
}

export const ending = (name: string) => /\.([a-z0-9]{1,8})$/i.exec(name)?.[1]?.toLowerCase() ?? 'gpx'
