import { randomBytes } from 'node:crypto'
import { closeSync, fsyncSync, openSync, renameSync, rmSync, writeSync } from 'node:fs'
import { join } from 'node:path'

/** Written beside, synced, renamed, and the folder synced: after a crash the file is the old one or the new one, whole. */
export function writeWhole(path: string, content: string | Uint8Array): void {
  const part = `${path}.${randomBytes(4).toString('hex')}.part`
  try {
    writeSynced(part, typeof content === 'string' ? Buffer.from(content, 'utf8') : content)
    renameSync(part, path)
  } catch (error) {
    // A full disk is not made fuller by what did not fit on it.
    rmSync(part, { force: true })
    throw error
  }
  const folder = openSync(join(path, '..'), 'r')
  try {
    fsyncSync(folder)
  } finally {
    closeSync(folder)
  }
}

function writeSynced(path: string, bytes: Uint8Array): void {
  const file = openSync(path, 'w')
  try {
    for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at)
    fsyncSync(file)
  } finally {
    closeSync(file)
  }
}
