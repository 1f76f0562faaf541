import { inflateRawSync } from 'node:zlib'
import { importKml } from './importKml.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/** A KML of a day's drive has some megabytes; more than this out of a small zip is a bomb. */
const MOST_BYTES = 64 * 1024 * 1024
const LOCAL = 0x04034b50
const CENTRAL = 0x02014b50
const END = 0x06054b50

/**
 * KMZ: a zip whose first .kml is the document (OGC 07-147r2, annex C). Only that entry is opened, and never past 64 MB whatever the zip says of itself.
 * Throws RouteFileError for a zip without KML, a damaged or encrypted one, or one that swells.
 */
export function importKmz(bytes: Uint8Array, name: string): RouteDraft {
  const entry = findKml(Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength), name)
  return importKml(entry, name)
}

function findKml(zip: Buffer, name: string): Uint8Array {
  const damaged = new RouteFileError(`"${name}" is a damaged zip; export it again, or as KML.`)
  let end = zip.length - 22
  while (end >= 0 && end > zip.length - 22 - 65_536 && zip.readUInt32LE(end) !== END) end--
  if (end < 0 || zip.readUInt32LE(end) !== END) throw damaged
  const count = zip.readUInt16LE(end + 10)
  let at = zip.readUInt32LE(end + 16)
  for (let i = 0; i < count; i++) {
    if (at + 46 > zip.length || zip.readUInt32LE(at) !== CENTRAL) throw damaged
    const nameLength = zip.readUInt16LE(at + 28)
    const entry = zip.toString('utf8', at + 46, at + 46 + nameLength)
    if (/\.kml$/i.test(entry)) return open(zip, at, name, damaged)
    at += 46 + nameLength + zip.readUInt16LE(at + 30) + zip.readUInt16LE(at + 32)
  }
  throw new RouteFileError(`"${name}" is a zip without a KML file in it; export the road as KML or GPX.`)
}

function open(zip: Buffer, at: number, name: string, damaged: RouteFileError): Uint8Array {
  const flags = zip.readUInt16LE(at + 8)
  const method = zip.readUInt16LE(at + 10)
  const packed = zip.readUInt32LE(at + 20)
  const local = zip.readUInt32LE(at + 42)
  if (flags & 1) throw new RouteFileError(`"${name}" is locked with a password; export it without.`)
  if (local + 30 > zip.length || zip.readUInt32LE(local) !== LOCAL) throw damaged
  const from = local + 30 + zip.readUInt16LE(local + 26) + zip.readUInt16LE(local + 28)
  if (from + packed > zip.length) throw damaged
  const data = zip.subarray(from, from + packed)
  if (method === 0) return data
  if (method !== 8)
    throw new RouteFileError(`"${name}" is packed in a way not read here (method ${method}); export KML.`)
  return inflate(data, name, damaged)
}

function inflate(data: Buffer, name: string, damaged: RouteFileError): Uint8Array {
  try {
    // The size a zip claims is its own word: the limit is on what really comes out.
    return inflateRawSync(data, { maxOutputLength: MOST_BYTES })
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ERR_BUFFER_TOO_LARGE')
      throw new RouteFileError(
        `"${name}" unpacks to more than ${MOST_BYTES / 1024 / 1024} MB; it is refused. Export one road.`,
      )
    throw damaged
  }
}
