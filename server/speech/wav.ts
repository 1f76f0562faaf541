export interface Sound {
  readonly sampleRate: number
  readonly samples: Int16Array
}

/** RIFF/WAVE, mono, 16 bit PCM: fmt and data chunks, data padded to an even length (RIFF specification, from memory). */
export function writeWav(sound: Sound): Uint8Array {
  const data = sound.samples.length * 2
  const bytes = new Uint8Array(44 + data)
  const view = new DataView(bytes.buffer)
  const text = (at: number, word: string) => {
    for (let i = 0; i < word.length; i++) bytes[at + i] = word.charCodeAt(i)
  }
  text(0, 'RIFF')
  view.setUint32(4, 36 + data, true)
  text(8, 'WAVEfmt ')
  view.setUint32(16, 16, true)
  view.setUint16(20, 1, true)
  view.setUint16(22, 1, true)
  view.setUint32(24, sound.sampleRate, true)
  view.setUint32(28, sound.sampleRate * 2, true)
  view.setUint16(32, 2, true)
  view.setUint16(34, 16, true)
  text(36, 'data')
  view.setUint32(40, data, true)
  for (let i = 0; i < sound.samples.length; i++) view.setInt16(44 + 2 * i, sound.samples[i]!, true)
  return bytes
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
