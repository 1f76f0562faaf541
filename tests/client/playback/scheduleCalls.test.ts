import { expect, it } from 'vitest'
import { carAtInPlace, timeAtStation } from '../../../client/playback/carAt.ts'
import { audioAt, stageAt } from '../../../client/playback/clocks.ts'
import { callsStarting } from '../../../client/playback/scheduleCalls.ts'
import { seededRandom } from '../../seededRandom.ts'
import { evenRun } from './fakeCard.ts'

it('hands out each call once, wherever the windows fall', () => {
  const { calls } = evenRun(25, 3000, 1.5)
  const random = seededRandom(7)
  const seen: number[] = []
  for (let from = -3; from < 130; ) {
    const to = from + 0.01 + random() * 0.5
    seen.push(...callsStarting(calls, { from, to }).map((call) => call.index))
    from = to
  }
  expect(seen).toEqual(calls.map((call) => call.index))
})

it('gives a call on the seam to the later stretch only', () => {
  const { calls } = evenRun(25, 3000, 2) // starts 1, 3, 5 …
  expect(callsStarting(calls, { from: 1, to: 3 }).map((call) => call.start)).toEqual([1])
})

it('converts between clocks there and back', () => {
  const anchor = { stage: 12.5, audio: 40, rate: 1 } as const
  expect(stageAt(anchor, audioAt(anchor, 99.25))).toBeCloseTo(99.25, 12)
})

it('puts no moment on the sound card while held', () => {
  expect(audioAt({ stage: 12.5, audio: 40, rate: 0 }, 13)).toBe(Number.POSITIVE_INFINITY)
})

it('finds the car under constant acceleration: s = ½at² from rest', () => {
  // 3 m/s² for 4 s: 24 m, 12 m/s.
  const profile = { station: [0, 24], speed: [0, 12], time: [0, 4] }
  const car = { station: 0, speed: 0 }
  carAtInPlace(profile, 2, car)
  expect(car.station).toBeCloseTo(6, 9) // ½ · 3 · 2²
  expect(car.speed).toBeCloseTo(6, 9)
})

it('finds the time of a station as the inverse of the station of a time', () => {
  const profile = { station: [0, 24, 60], speed: [0, 12, 12], time: [0, 4, 7] }
  const car = { station: 0, speed: 0 }
  for (let t = 0.1; t < 7; t += 0.3) {
    carAtInPlace(profile, t, car)
    expect(timeAtStation(profile, car.station)).toBeCloseTo(t, 9)
  }
})
