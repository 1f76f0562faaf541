import { randomUUID } from 'node:crypto'
import { open, rename, rm } from 'node:fs/promises'

/**
 * Writes a file piece by piece, beside its name, synced and renamed at the end: it appears whole or not at all. When the disk is full, the pieces throw or
 * `signal` is aborted, nothing is left behind and the call rejects with that error. Memory holds one piece at a time.
 */
export async function writePieces(
  path: string,
  pieces: AsyncIterable<Uint8Array> | Iterable<Uint8Array>,
  signal?: AbortSignal,
): Promise<void> {
  const part = `${path}.${randomUUID()}.part`
  try {
    const file = await open(part, 'w')
    try {
      for await (const piece of pieces) {
        signal?.throwIfAborted()
        await file.writeFile(piece)
      }
      signal?.throwIfAborted()
      await file.sync()
    } finally {
      await file.close()
    }
    await rename(part, path)
  } catch (error) {
    await rm(part, { force: true })
    throw error
  }
}
