import type { SoundTags } from './soundTags.ts'

const PAGE_HEAD = 27
const MOST_SEGMENTS = 255

/**
 * An Ogg Vorbis stream with its comment header replaced by these tags (Vorbis I, comment field specification; chapters as CHAPTERnnn=hh:mm:ss.mmm and
 * CHAPTERnnnNAME; Ogg pages by RFC 3533; from memory). The three header packets are gathered from the first pieces; sound passes through untouched.
 */
export async function* withOggTags(pieces: AsyncIterable<Uint8Array>, tags: SoundTags): AsyncGenerator<Uint8Array> {
  let held: Buffer | null = Buffer.alloc(0)
  for await (const piece of pieces) {
    if (held === null) {
      yield piece
      continue
    }
    held = Buffer.concat([held, piece])
    const head = readHead(held)
    if (head === null) continue
    yield held.subarray(0, head.first)
    yield commentAndSetup(held, head, tags)
    if (head.end < held.length) yield held.subarray(head.end)
    held = null
  }
  if (held !== null && held.length > 0) throw new RangeError('withOggTags: the stream ends inside its headers')
}

interface Head {
  /** End of the first page, and of the page that ends the setup header. */
  readonly first: number
  readonly end: number
  readonly vendor: Buffer
  readonly setup: Buffer
}

/** The header pages, or null while they are not all there. */
function readHead(bytes: Buffer): Head | null {
  const packets: Buffer[] = []
  let open: Buffer[] = []
  let first = 0
  let pages = 0
  for (let at = 0; at + PAGE_HEAD <= bytes.length; ) {
    if (bytes.toString('latin1', at, at + 4) !== 'OggS') throw new RangeError(`withOggTags: no page at byte ${at}`)
    const count = bytes[at + 26]!
    if (at + PAGE_HEAD + count > bytes.length) return null
    let data = at + PAGE_HEAD + count
    for (let s = 0; s < count; s++) {
      const size = bytes[at + PAGE_HEAD + s]!
      if (data + size > bytes.length) return null
      open.push(bytes.subarray(data, data + size))
      data += size
      if (size < MOST_SEGMENTS) {
        packets.push(Buffer.concat(open))
        open = []
      }
    }
    at = data
    pages++
    if (pages === 1) first = at
    if (packets.length === 3) {
      if (pages !== 2) throw new RangeError(`withOggTags: headers on ${pages} pages; 2 were expected`)
      const comment = packets[1]!
      return { first, end: at, vendor: comment.subarray(11, 11 + comment.readUInt32LE(7)), setup: packets[2]! }
    }
  }
  return null
}

function commentAndSetup(bytes: Buffer, head: Head, tags: SoundTags): Buffer {
  const fields = [`TITLE=${plain(tags.title)}`, `ALBUM=${plain(tags.album)}`, `DESCRIPTION=${plain(tags.comment)}`]
  for (const [i, chapter] of tags.chapters.entries()) {
    const number = String(i + 1).padStart(3, '0')
    fields.push(`CHAPTER${number}=${stamp(chapter.from)}`, `CHAPTER${number}NAME=${plain(chapter.title)}`)
  }
  const comment = Buffer.concat([
    Buffer.from('\u0003vorbis', 'latin1'),
    sized(head.vendor),
    uint32(fields.length),
    ...fields.map((field) => sized(Buffer.from(field))),
    Buffer.from([1]),
  ])
  const lacing = [...laced(comment.length), ...laced(head.setup.length)]
  if (lacing.length > MOST_SEGMENTS) throw new RangeError(`withOggTags: ${comment.length} bytes of tags are too many`)
  const page = Buffer.concat([
    bytes.subarray(head.first, head.first + PAGE_HEAD - 1),
    Buffer.from([lacing.length, ...lacing]),
    comment,
    head.setup,
  ])
  page.writeUInt32LE(0, 22)
  page.writeUInt32LE(crc(page), 22)
  return page
}

/** A packet as segments: 255 while it goes on, the rest last. */
function laced(size: number): number[] {
  return [...new Array<number>(Math.floor(size / MOST_SEGMENTS)).fill(MOST_SEGMENTS), size % MOST_SEGMENTS]
}

function uint32(value: number): Buffer {
  const bytes = Buffer.alloc(4)
  bytes.writeUInt32LE(value)
  return bytes
}

const sized = (content: Uint8Array) => Buffer.concat([uint32(content.length), content])

function stamp(seconds: number): string {
  const ms = Math.round(seconds * 1000)
  const two = (value: number) => String(value).padStart(2, '0')
  return `${two(Math.floor(ms / 3_600_000))}:${two(Math.floor(ms / 60_000) % 60)}:${two(Math.floor(ms / 1000) % 60)}.${String(ms % 1000).padStart(3, '0')}`
}

const plain = (value: string) => value.replace(/[\u0000-\u001f\u007f]+/g, ' ').trim()

/** CRC-32 of a page (RFC 3533): polynomial 0x04c11db7, not reflected, from 0. */
function crc(bytes: Uint8Array): number {
  let sum = 0
  for (let i = 0; i < bytes.length; i++) {
    sum ^= bytes[i]! << 24
    for (let bit = 0; bit < 8; bit++) sum = sum & 0x80000000 ? (sum << 1) ^ 0x04c11db7 : sum << 1
  }
  return sum >>> 0
}
