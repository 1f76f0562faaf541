import { describe, expect, it } from 'vitest'
import { cabinNoise } from '../../../client/microphone/cabin.ts'
import { chirps, roundTripOf } from '../../../client/microphone/roundTrip.ts'
import { seededRandom } from '../../seededRandom.ts'

const RATE = 16_000

/** Chirps heard after `delay` seconds, with a reflection 7 ms later that is louder, in noise of a given root mean square. */
function recorded(delay: number, loud: number, noise: number, seed: number): Float32Array {
  const random = seededRandom(seed)
  const played = chirps(RATE)
  const out = new Float32Array(played.length + RATE)
  for (const [lag, gain] of [
    [delay, 0.7],
    [delay + 0.007, 1],
  ] as const)
    for (let i = 0; i < played.length; i++) {
      const at = i + lag * RATE
      const whole = Math.floor(at)
      const part = at - whole
      out[whole]! += loud * gain * (1 - part) * played[i]!
      out[whole + 1]! += loud * gain * part * played[i]!
    }
  const cabin = cabinNoise(out.length / RATE, RATE, random)
  return out.map((v, i) => v + 10 * noise * cabin[i]!)
}

describe('the round trip from loudspeaker to microphone', () => {
  it.each([0.021, 0.0734, 0.15, 0.2987])('is found to a millisecond: %f s, known because it was put there', (delay) => {
    expect(Math.abs(roundTripOf(recorded(delay, 0.2, 0, 1), RATE).seconds! - delay)).toBeLessThan(0.001)
  })

  it('is found in cabin noise as loud as the chirps', () => {
    expect(Math.abs(roundTripOf(recorded(0.09, 0.2, 0.04, 2), RATE).seconds! - 0.09)).toBeLessThan(0.001)
  })

  it('is refused, in words, when the chirps were not heard', () => {
    const { seconds, words } = roundTripOf(recorded(0.09, 0, 0.05, 3), RATE)
    expect([seconds, /were not heard/.test(words)]).toEqual([null, true])
  })
})
