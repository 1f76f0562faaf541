import type { Sound } from './wav.ts'

const PCM = 1
const FLOAT = 3
const EXTENSIBLE = 0xfffe

/**
 * A RIFF/WAVE file as other programs write it, as mono 16 bit: PCM of 8, 16, 24 or 32 bits, 32 bit float, any channels (their mean), extra chunks passed
 * over, and a data size of 0 or more than there is taken as "the rest", as programs write it to a pipe. Throws RangeError for anything else.
 */
export function readAnyWav(bytes: Uint8Array): Sound {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength)
  const word = (at: number) => String.fromCharCode(...bytes.subarray(at, at + 4))
  if (bytes.length < 12 || word(0) !== 'RIFF' || word(8) !== 'WAVE') throw new RangeError('it is no RIFF/WAVE sound')
  let format: { kind: number; channels: number; rate: number; bits: number } | null = null
  for (let at = 12; at + 8 <= bytes.length; ) {
    const size = view.getUint32(at + 4, true)
    const rest = bytes.length - at - 8
    if (word(at) === 'fmt ' && rest >= 16) {
      const kind = view.getUint16(at + 8, true)
      format = {
        kind: kind === EXTENSIBLE && rest >= 26 ? view.getUint16(at + 32, true) : kind,
        channels: view.getUint16(at + 10, true),
        rate: view.getUint32(at + 12, true),
        bits: view.getUint16(at + 22, true),
      }
    } else if (word(at) === 'data') {
      if (format === null) throw new RangeError('its sound comes before its format')
      return { sampleRate: format.rate, samples: mono(view, at + 8, size === 0 ? rest : Math.min(size, rest), format) }
    }
    at += 8 + size + (size % 2)
  }
  throw new RangeError('it holds no sound')
}

function mono(
  view: DataView,
  from: number,
  size: number,
  q: { kind: number; channels: number; bits: number },
): Int16Array {
  const read = reader(view, q.kind, q.bits)
  if (read === null || q.channels < 1 || q.channels > 8)
    throw new RangeError(`its format is not read (kind ${q.kind}, ${q.bits} bit, ${q.channels} channels)`)
  const step = q.bits / 8
  const frames = Math.floor(size / (step * q.channels))
  const samples = new Int16Array(frames)
  for (let i = 0; i < frames; i++) {
    let sum = 0
    for (let c = 0; c < q.channels; c++) sum += read(from + (i * q.channels + c) * step)
    const value = Math.round((sum / q.channels) * 32768)
    samples[i] = Number.isFinite(value) ? Math.max(-32768, Math.min(32767, value)) : 0
  }
  return samples
}

function reader(view: DataView, kind: number, bits: number): ((at: number) => number) | null {
  if (kind === FLOAT && bits === 32) return (at) => view.getFloat32(at, true)
  if (kind !== PCM) return null
  if (bits === 8) return (at) => (view.getUint8(at) - 128) / 128
  if (bits === 16) return (at) => view.getInt16(at, true) / 32768
  if (bits === 24) return (at) => (view.getUint8(at) | (view.getInt16(at + 1, true) << 8)) / 8_388_608
  if (bits === 32) return (at) => view.getInt32(at, true) / 2_147_483_648
  return null
}
