import { readdirSync, readFileSync, rmSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { copyToVersions } from './copyToVersions.ts'
import { LibraryError } from './libraryError.ts'
import { writeWhole } from './writeWhole.ts'

const CAPTIONS = /^captions\.(vtt|srt)$/

export interface KeptCaptions {
  readonly name: string
  readonly bytes: Uint8Array
  /** Changes when the file does. */
  readonly stamp: string
}

/**
 * Keeps a file of captions in a stage folder, byte for byte; one that was there goes to versions/ under `stamp`. Throws LibraryError 507 where the disk
 * does not take it: then what was there is there still.
 */
export function keepCaptions(folder: string, kind: 'vtt' | 'srt', bytes: Uint8Array, stamp: number): void {
  try {
    const old = readdirSync(folder).filter((name) => CAPTIONS.test(name))
    const same = `captions.${kind}`
    if (old.length === 1 && old[0] === same && readFileSync(join(folder, same)).equals(bytes)) return
    for (const name of old) copyToVersions(folder, name, (turn) => `${stamp}-${turn}-${name}`)
    writeWhole(join(folder, same), bytes)
    for (const name of old) if (name !== same) rmSync(join(folder, name))
  } catch (error) {
    const code = (error as NodeJS.ErrnoException).code ?? 'unknown'
    throw new LibraryError(
      `The captions could not be kept (${code}); the notes are unchanged. Free some space or mend the folder's rights.`,
      507,
    )
  }
}

/** Captions of a stage folder, read again only where `known` is of an older file; null where there are none. */
export function captionsIn(folder: string, known: KeptCaptions | null): KeptCaptions | null {
  try {
    const name = readdirSync(folder).find((one) => CAPTIONS.test(one))
    if (name === undefined) return null
    const { mtimeMs, size } = statSync(join(folder, name))
    const stamp = `${folder} ${name} ${mtimeMs} ${size}`
    return known?.stamp === stamp ? known : { name, bytes: readFileSync(join(folder, name)), stamp }
  } catch {
    return null
  }
}
