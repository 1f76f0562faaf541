import { describe, expect, it } from 'vitest'
import { cabinNoise } from '../../../client/microphone/cabin.ts'
import { BLOCK, Detector, type Sounding } from '../../../client/microphone/detector.ts'
import { resample } from '../../../client/microphone/resample.ts'
import { openEmbeddedEngine } from '../../../server/speech/embeddedEngine.ts'
import { seededRandom } from '../../seededRandom.ts'

const RATE = 48_000

function heardIn(sound: Float32Array): Sounding[] {
  const detector = new Detector(RATE)
  const found: Sounding[] = []
  for (let at = 0; at + BLOCK <= sound.length; at += BLOCK) {
    const one = detector.push(sound.subarray(at, at + BLOCK))
    if (one) found.push(one)
  }
  return found
}
/** A quiet room: noise at −66 dB of full scale. */
const room = (seconds: number) => {
  const random = seededRandom(3)
  return Float32Array.from({ length: seconds * RATE }, () => 0.001 * (random() - 0.5))
}
async function spoken(starts: readonly number[]): Promise<{ sound: Float32Array; clip: Float32Array }> {
  const engine = openEmbeddedEngine()
  const said = await engine.speak({ words: ['five', 'left', 'long'], voice: 'en', rate: 200, pitch: 50 })
  await engine.close()
  const clip = resample(
    Float32Array.from(said.samples, (v) => (0.5 * v) / 32768),
    said.sampleRate,
    RATE,
  )
  const sound = room(starts.at(-1)! + 3)
  for (const start of starts) for (let i = 0; i < clip.length; i++) sound[start * RATE + i]! += clip[i]!
  return { sound, clip }
}

describe('speech found by loudness', () => {
  it('begins and ends where it was put, to five hundredths of a second: starts from the engine clip laid there', async () => {
    const starts = [2, 5, 8]
    const { sound, clip } = await spoken(starts)
    const found = heardIn(sound).filter((one) => one.speech)
    // The pause before a plosive may part a call; its first part has the start, its last the end.
    for (const start of starts) {
      const parts = found.filter((one) => one.from / RATE > start - 0.3 && one.from / RATE < start + 2)
      expect(Math.abs(parts[0]!.from / RATE - start)).toBeLessThan(0.05)
      expect(Math.abs(parts.at(-1)!.to / RATE - start - clip.length / RATE)).toBeLessThan(0.12)
    }
  })

  it('is not a cough, a click or a breath: noise has no voice in it', () => {
    const sound = room(8)
    const random = seededRandom(5)
    for (let i = 0; i < 0.25 * RATE; i++) sound[2 * RATE + i]! += 0.35 * (1 - i / (0.25 * RATE)) * (2 * random() - 1)
    for (let i = 0; i < 200; i++) sound[4 * RATE + i]! += 0.4 * (2 * random() - 1)
    for (let i = 0; i < 0.4 * RATE; i++) sound[6 * RATE + i]! += 0.02 * (2 * random() - 1)
    const found = heardIn(sound)
    expect([found.length > 0, found.filter((one) => one.speech)]).toEqual([true, []])
  })

  it('is nowhere in silence', () => {
    expect(heardIn(new Float32Array(4 * RATE))).toEqual([])
  })
})

describe('cabin noise', () => {
  it('is the same for the same random numbers, a tenth of full scale in the mean', () => {
    const [a, b] = [cabinNoise(1, 16_000, seededRandom(9)), cabinNoise(1, 16_000, seededRandom(9))]
    expect(a).toEqual(b)
    expect(Math.sqrt(a.reduce((sum, v) => sum + v * v, 0) / a.length)).toBeCloseTo(0.1, 2)
  })
})
