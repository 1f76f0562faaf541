import type { Seconds } from '../units.ts'
import { chapterSpans, type SoundTags } from './soundTags.ts'

/**
 * An ID3v2.4 tag (id3.org, structure and frames; chapters by the ID3v2 Chapter Frame Addendum 1.0; all from memory): title, album, comment, one CHAP frame
 * a chapter and the table of contents that lists them. UTF-8 throughout; sizes are syncsafe (7 bits a byte).
 */
export function id3Tag(tags: SoundTags, duration: Seconds): Uint8Array {
  const spans = chapterSpans(tags.chapters, duration)
  const frames = [text('TIT2', tags.title), text('TALB', tags.album), comment(tags.comment)]
  if (spans.length > 0) {
    frames.push(contents(spans.length))
    for (const [i, span] of spans.entries()) frames.push(chapter(i, span))
  }
  const body = Buffer.concat(frames)
  return Buffer.concat([Buffer.from('ID3'), Buffer.from([4, 0, 0]), syncsafe(body.length), body])
}

function frame(id: string, content: Uint8Array): Buffer {
  return Buffer.concat([Buffer.from(id, 'latin1'), syncsafe(content.length), Buffer.from([0, 0]), content])
}

const UTF8 = 3
const text = (id: string, value: string) => frame(id, Buffer.concat([Buffer.from([UTF8]), Buffer.from(plain(value))]))
const comment = (value: string) =>
  frame('COMM', Buffer.concat([Buffer.from([UTF8]), Buffer.from('eng\0'), Buffer.from(plain(value))]))

const name = (i: number) => Buffer.from(`section${i + 1}\0`)

function contents(count: number): Buffer {
  const TOP_AND_ORDERED = 3
  // One byte counts the entries: chapters past 255 stand in the file without standing in the list.
  const listed = Math.min(255, count)
  const names = Array.from({ length: listed }, (_, i) => name(i))
  return frame('CTOC', Buffer.concat([Buffer.from('toc\0'), Buffer.from([TOP_AND_ORDERED, listed]), ...names]))
}

function chapter(i: number, span: { title: string; from: Seconds; to: Seconds }): Buffer {
  const times = Buffer.alloc(16)
  times.writeUInt32BE(Math.round(span.from * 1000), 0)
  times.writeUInt32BE(Math.round(span.to * 1000), 4)
  // Byte offsets are not given: readers then use the times.
  times.fill(0xff, 8)
  return frame('CHAP', Buffer.concat([name(i), times, text('TIT2', span.title)]))
}

function syncsafe(size: number): Buffer {
  if (!(size < 1 << 28)) throw new RangeError(`id3Tag: ${size} bytes are more than a tag can hold`)
  return Buffer.from([(size >> 21) & 127, (size >> 14) & 127, (size >> 7) & 127, size & 127])
}

/** Control characters would end a text early. */
const plain = (value: string) => value.replace(/[\u0000-\u001f\u007f]+/g, ' ').trim()
