import { chapterSpans, type SoundTags } from './soundTags.ts'

export interface Sound {
  readonly sampleRate: number
  readonly samples: Int16Array
}

/** Samples put into bytes at a time. */
const PIECE = 1 << 20

/** RIFF/WAVE, mono, 16 bit PCM: fmt and data chunks, data padded to an even length (RIFF specification, from memory). */
export function writeWav(sound: Sound): Uint8Array {
  return Buffer.concat([...wavPieces(sound)])
}

/**
 * The same in pieces, with tags after the sound where given: LIST INFO (INAM, IPRD, ICMT), a cue chunk with a point a chapter and LIST adtl with their
 * labels (RIFF and Multimedia Programming Interface, from memory). A chunk of odd size is padded to an even one.
 */
export function* wavPieces(sound: Sound, tags?: SoundTags): Generator<Uint8Array> {
  const tail = tags ? tagChunks(sound, tags) : Buffer.alloc(0)
  const data = sound.samples.length * 2
  const head = Buffer.alloc(44)
  head.write('RIFF', 0, 'latin1')
  head.writeUInt32LE(36 + data + tail.length, 4)
  head.write('WAVEfmt ', 8, 'latin1')
  head.writeUInt32LE(16, 16)
  head.writeUInt16LE(1, 20)
  head.writeUInt16LE(1, 22)
  head.writeUInt32LE(sound.sampleRate, 24)
  head.writeUInt32LE(sound.sampleRate * 2, 28)
  head.writeUInt16LE(2, 32)
  head.writeUInt16LE(16, 34)
  head.write('data', 36, 'latin1')
  head.writeUInt32LE(data, 40)
  yield head
  for (let at = 0; at < sound.samples.length; at += PIECE) {
    const piece = sound.samples.subarray(at, at + PIECE)
    const bytes = new Uint8Array(piece.length * 2)
    const view = new DataView(bytes.buffer)
    for (let i = 0; i < piece.length; i++) view.setInt16(2 * i, piece[i]!, true)
    yield bytes
  }
  if (tail.length > 0) yield tail
}

function tagChunks(sound: Sound, tags: SoundTags): Buffer {
  const spans = chapterSpans(tags.chapters, sound.samples.length / sound.sampleRate)
  const info = chunk('LIST', [
    Buffer.from('INFO'),
    chunk('INAM', [zeroEnded(tags.title)]),
    chunk('IPRD', [zeroEnded(tags.album)]),
    chunk('ICMT', [zeroEnded(tags.comment)]),
  ])
  if (spans.length === 0) return info
  const points = spans.map((span, i) => {
    const at = Math.min(sound.samples.length, Math.round(span.from * sound.sampleRate))
    return Buffer.concat([uint32(i + 1), uint32(at), Buffer.from('data'), uint32(0), uint32(0), uint32(at)])
  })
  const labels = spans.map((span, i) => chunk('labl', [uint32(i + 1), zeroEnded(span.title)]))
  return Buffer.concat([
    info,
    chunk('cue ', [uint32(points.length), ...points]),
    chunk('LIST', [Buffer.from('adtl'), ...labels]),
  ])
}

function uint32(value: number): Buffer {
  const bytes = Buffer.alloc(4)
  bytes.writeUInt32LE(value)
  return bytes
}

const zeroEnded = (text: string) => Buffer.from(`${text.replace(/[\u0000-\u001f\u007f]+/g, ' ').trim()}\0`)

function chunk(id: string, parts: readonly Uint8Array[]): Buffer {
  const content = Buffer.concat(parts)
  return Buffer.concat([Buffer.from(id, 'latin1'), uint32(content.length), content, Buffer.alloc(content.length % 2)])
}

/** Mono 16 bit PCM of a RIFF/WAVE file, other chunks passed over. Throws RangeError for anything else. */
export function readWav(bytes: Uint8Array): Sound {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const word = (at: number) => String.fromCharCode(...bytes.subarray(at, at + 4))
  if (bytes.length < 12 || word(0) !== 'RIFF' || word(8) !== 'WAVE')
    throw new RangeError('readWav: not a RIFF/WAVE file')
  let sampleRate = 0
  for (let at = 12; at + 8 <= bytes.length; ) {
    const size = view.getUint32(at + 4, true)
    if (word(at) === 'fmt ') {
      if (
        view.getUint16(at + 8, true) !== 1 ||
        view.getUint16(at + 10, true) !== 1 ||
        view.getUint16(at + 22, true) !== 16
      )
        throw new RangeError('readWav: only mono 16 bit PCM is read')
      sampleRate = view.getUint32(at + 12, true)
    } else if (word(at) === 'data') {
      const count = Math.floor(Math.min(size, bytes.length - at - 8) / 2)
      const samples = new Int16Array(count)
      for (let i = 0; i < count; i++) samples[i] = view.getInt16(at + 8 + 2 * i, true)
      return { sampleRate, samples }
    }
    at += 8 + size + (size % 2)
  }
  throw new RangeError('readWav: the file has no data chunk')
}
