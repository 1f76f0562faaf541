import { expect, it } from 'vitest'
import { AudioClock } from '../../../client/playback/audioClock.ts'
import { seededRandom } from '../../seededRandom.ts'
import { percentile } from './simulatedNetwork.ts'

/** A card 30 ppm fast that reports in steps of 10 ms, one reading in fifty up to 50 ms old, with a break of 120 ms at `underrun`. */
function errorsOf(seconds: number, underrun: number): { at: number; error: number }[] {
  const random = seededRandom(2)
  const clock = new AudioClock()
  const truth = (page: number) => (page < underrun ? 0 : -0.12) + page * (1 + 30e-6)
  return Array.from({ length: seconds }, (_, page) => {
    const late = random() < 0.02 ? 0.05 * random() : 0
    const audio = Math.floor((truth(page - late) + 0.01 * random()) / 0.01) * 0.01
    clock.add({ audio, page })
    return { at: page, error: Math.abs(clock.audioAt(page) - truth(page)) * 1000 }
  })
}

it('stays within 10 ms of a card that reports in steps of 10 ms', () => {
  const errors = errorsOf(300, Number.POSITIVE_INFINITY).slice(15)
  expect(
    percentile(
      errors.map((one) => one.error),
      0.99,
    ),
  ).toBeLessThan(10)
})

it('is right again within 3 s of a break', () => {
  const after = errorsOf(300, 200).filter((one) => one.at >= 203)
  expect(Math.max(...after.map((one) => one.error))).toBeLessThan(20)
})

it('maps back what it mapped forth, and refuses what is no time', () => {
  const clock = new AudioClock()
  expect(clock.ready).toBe(false)
  clock.add({ audio: 3, page: 10 })
  expect(clock.audioAt(11)).toBe(4)
  expect(clock.pageAt(4)).toBe(11)
  expect(() => clock.add({ audio: Number.NaN, page: 0 })).toThrow(RangeError)
})
