import { createWriteStream, mkdirSync, readFileSync, renameSync, rmSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { Transform } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import { type Entry, openPromise, type ZipFile } from 'yauzl'
import { LibraryError } from './libraryError.ts'
import { BUNDLE_FORMAT, MANIFEST } from './writeBundle.ts'

/** What a bundle may come to, unpacked; a season of takes is below it. */
const MOST_BYTES = 2 * 1024 ** 3
const MOST_FILES = 20_000
/** Packed this many times smaller, a large file is no stage but a bomb. */
const MOST_RATIO = 200
const RATIO_FROM = 10 * 1024 * 1024

/** Names a stage folder holds; others are left out of what is opened, and counted. */
const KNOWN =
  /^(bundle\.json|stage\.json|notes\.txt|anchors\.json|captions\.(vtt|srt)|\.route-name|route(-\d{1,4})?\.[a-z0-9]{1,8}|versions\/[\w.-]{1,200}|takes\/[\w.-]{1,200})$/

/** A bundle that is not opened: what is wrong with it. Nothing of it is kept. */
const refused = (what: string) => new LibraryError(`This bundle is not opened: ${what}.`, 422)

/**
 * Unpacks a bundle into `folder`, which must not be there yet: it appears whole or not at all. Refused are names that leave the folder, links, encrypted and
 * doubled files, more than 20,000 files or 2 GB, and files packed 200 times smaller; sizes are counted while unpacking, whatever the zip claims. Older
 * layouts are brought up to date, newer ones refused. Returns the names left out because no stage holds them. Throws LibraryError.
 */
export async function openBundle(zip: string, folder: string): Promise<{ leftOut: string[] }> {
  const beside = `${folder}.opening`
  mkdirSync(beside, { recursive: false })
  try {
    const leftOut = await unpack(zip, beside)
    migrate(beside)
    renameSync(beside, folder)
    return { leftOut }
  } catch (error) {
    rmSync(beside, { recursive: true, force: true })
    throw asLibraryError(error)
  }
}

function asLibraryError(error: unknown): unknown {
  if (error instanceof LibraryError) return error
  const { code, message } = error as NodeJS.ErrnoException
  if (code === 'ENOSPC' || code === 'EDQUOT' || code === 'EFBIG')
    return new LibraryError(`The library could not be written (${code}); nothing of the bundle is kept.`, 507)
  // The reader's own refusals: no zip at all, cut off, names that climb out of the folder, sizes that lie.
  return typeof code === 'string' && code !== 'ENOENT' ? error : refused(message.replace(/\.$/, ''))
}

async function unpack(path: string, into: string): Promise<string[]> {
  const zip = await openPromise(path, {
    lazyEntries: true,
    autoClose: false,
    validateEntrySizes: true,
    strictFileNames: true,
  })
  const leftOut: string[] = []
  const seen = new Set<string>()
  const budget = { bytes: MOST_BYTES }
  try {
    if (zip.entryCount > MOST_FILES) throw refused(`it holds ${zip.entryCount} files`)
    const prefix = await topFolder(zip, path)
    for await (const entry of zip.eachEntry()) {
      check(entry)
      const name = entry.fileName.slice(prefix.length)
      if (entry.fileName.endsWith('/')) continue
      if (!KNOWN.test(name)) {
        leftOut.push(name)
        continue
      }
      if (seen.has(name)) throw refused(`"${name}" is in it twice`)
      seen.add(name)
      await unpackOne(zip, entry, join(into, name), budget)
    }
  } finally {
    zip.close()
  }
  if (!seen.has('stage.json') && !seen.has('notes.txt')) throw refused('it holds no stage')
  return leftOut
}

const TYPE_BITS = 0o170000
const LINK = 0o120000

function check(entry: Entry): void {
  if (((entry.externalFileAttributes >>> 16) & TYPE_BITS) === LINK) throw refused(`"${entry.fileName}" is a link`)
  if (entry.generalPurposeBitFlag & 1) throw refused(`"${entry.fileName}" is encrypted`)
  if (entry.uncompressedSize > RATIO_FROM && entry.uncompressedSize > MOST_RATIO * Math.max(1, entry.compressedSize))
    throw refused(`"${entry.fileName}" unpacks to ${entry.uncompressedSize} bytes from ${entry.compressedSize}`)
}

async function unpackOne(zip: ZipFile, entry: Entry, to: string, budget: { bytes: number }): Promise<void> {
  mkdirSync(dirname(to), { recursive: true })
  const count = new Transform({
    transform(piece: Buffer, _encoding, done) {
      budget.bytes -= piece.length
      done(budget.bytes < 0 ? refused('it unpacks to more than 2 GB') : null, piece)
    },
  })
  await pipeline(await zip.openReadStreamPromise(entry), count, createWriteStream(to, { flags: 'wx' }))
}

/** Layout 1 had no manifest, and a folder zipped by hand has its own name in front of every file: that name, or ''. */
async function topFolder(zip: ZipFile, path: string): Promise<string> {
  const names: string[] = []
  const again = await openPromise(path, { lazyEntries: true, autoClose: false, strictFileNames: true })
  try {
    for await (const entry of again.eachEntry()) names.push(entry.fileName)
  } finally {
    again.close()
  }
  if (names.length !== zip.entryCount) throw refused('its list of files is damaged')
  const top = /^[^/]+\//.exec(names[0] ?? '')?.[0]
  return top &&
    names.every((name) => name.startsWith(top)) &&
    names.some((name) => name === `${top}stage.json` || name === `${top}notes.txt`)
    ? top
    : ''
}

/**
 * From the layout a bundle was written in to this one. Layout 1 is a stage folder zipped by hand: it has no manifest, and its top folder is taken off while
 * it is unpacked. A newer layout is refused, because what it means is not known here.
 */
function migrate(folder: string): void {
  const file = join(folder, MANIFEST)
  let format = 1
  try {
    format = Number(JSON.parse(readFileSync(file, 'utf8')).sayWhen)
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw refused('its manifest is damaged')
  }
  if (!(format >= 1 && format <= BUNDLE_FORMAT))
    throw refused(
      `it was written by a newer Say When (layout ${format}, this one knows ${BUNDLE_FORMAT}); bring this one up to date`,
    )
  rmSync(file, { force: true })
}
