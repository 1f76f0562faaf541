import type { MetresPerSecond } from '../units.ts'

/** Corner of the rumble, Hz: tyres and body, from memory. */
const CORNER = 250
/** Loudness of the noise at a standstill against full speed: an engine that idles. */
const IDLE = 0.25

/**
 * A car's cabin as noise: random numbers through a one-pole low pass, louder with speed (size ∝ idle + (1 − idle)·v/top), r.m.s. 1 at `top`. One value a
 * sample; `speedAt` is asked once in `every` samples. Drawn from the notes of nobody's car: it is there to practise over, not to sound like one.
 */
export function cabinNoise(q: {
  samples: number
  sampleRate: number
  speedAt: (seconds: number) => MetresPerSecond
  top: MetresPerSecond
  random: () => number
}): Float32Array {
  if (!(q.top > 0)) throw new RangeError(`cabinNoise: top must be > 0, got ${q.top}`)
  const pole = Math.exp((-2 * Math.PI * CORNER) / q.sampleRate)
  // White noise of size 1 through y += (1 − p)(x − y) has variance (1 − p)/(1 + p) times a uniform variable's 1/3.
  const scale = Math.sqrt((3 * (1 + pole)) / (1 - pole))
  const noise = new Float32Array(q.samples)
  const every = Math.max(1, Math.round(q.sampleRate / 20))
  let y = 0
  let size = IDLE
  for (let i = 0; i < noise.length; i++) {
    if (i % every === 0) size = IDLE + (1 - IDLE) * Math.min(1, q.speedAt(i / q.sampleRate) / q.top)
    y = pole * y + (1 - pole) * (2 * q.random() - 1)
    noise[i] = y * scale * size
  }
  return noise
}
