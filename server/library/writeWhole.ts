import { randomBytes } from 'node:crypto'
import { closeSync, fsyncSync, openSync, renameSync, writeSync } from 'node:fs'
import { join } from 'node:path'

/** Written beside, synced, renamed, and the folder synced: after a crash the file is the old one or the new one, whole. */
export function writeWhole(path: string, content: string | Uint8Array): void {
  const part = `${path}.${randomBytes(4).toString('hex')}.part`
  const file = openSync(part, 'w')
  try {
    const bytes = typeof content === 'string' ? Buffer.from(content, 'utf8') : content
    for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at)
    fsyncSync(file)
  } finally {
    closeSync(file)
  }
  renameSync(part, path)
  const folder = openSync(join(path, '..'), 'r')
  try {
    fsyncSync(folder)
  } finally {
    closeSync(folder)
  }
}
