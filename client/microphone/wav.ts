/** Sound of our own making, clips and takes: 44 bytes of head, mono, 16 bit. */
export function readWav(bytes: ArrayBuffer): { samples: Int16Array; rate: number } {
  return { samples: new Int16Array(bytes.slice(44)), rate: new DataView(bytes).getUint32(24, true) }
}

/** Full scale ±1. */
export const fromInt16 = (samples: Int16Array): Float32Array => Float32Array.from(samples, (v) => v / 32768)
