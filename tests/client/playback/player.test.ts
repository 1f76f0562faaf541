import { expect, it } from 'vitest'
import { COMMIT_AHEAD, createPlayer } from '../../../client/playback/player.ts'
import { seededRandom } from '../../seededRandom.ts'
import { evenRun, fakeCard } from './fakeCard.ts'

const sounded = (heard: { clip: string; stopped: boolean }[]) =>
  heard.filter((one) => !one.stopped).map((one) => one.clip)

it('starts every call once, at its own time on the sound card, however late the wakes come', () => {
  const { card, heard, step } = fakeCard()
  const run = evenRun(20, 2000, 4)
  const player = createPlayer(card, run)
  const random = seededRandom(3)
  player.start()
  const zero = 100 + 0.08 + 3 // start() begins three seconds before the line, 0.08 s after now
  for (let t = 0; t < 110; ) {
    const wait = random() * 0.3
    step(wait)
    t += wait
    player.wake()
  }
  expect(sounded(heard)).toEqual(run.calls.map((call) => call.clip))
  for (const [i, one] of heard.entries()) expect(one.at).toBeCloseTo(zero + run.calls[i]!.start, 9)
})

it('commits nothing further ahead than it says', () => {
  const { card, heard, step } = fakeCard()
  const player = createPlayer(card, evenRun(20, 2000, 4))
  player.start()
  for (let i = 0; i < 400; i++) {
    step(0.05)
    const before = heard.length
    player.wake()
    for (const one of heard.slice(before)) expect(one.at - card.now()).toBeLessThanOrEqual(COMMIT_AHEAD)
  }
})

it('keeps the station, not the time, when the plan changes under way', () => {
  const { card, step } = fakeCard()
  const player = createPlayer(card, evenRun(20, 2000, 4))
  player.start()
  step(33.08)
  player.wake()
  expect(player.stageHeard()).toBeCloseTo(30, 6) // 600 m at 20 m/s
  player.change(evenRun(30, 2000, 4))
  expect(player.stageHeard()).toBeCloseTo(20, 6) // the same 600 m at 30 m/s
})

it('lets a call that is being heard finish when the plan changes, and says none twice', () => {
  const { card, heard, step } = fakeCard()
  const slow = evenRun(20, 2000, 4)
  const player = createPlayer(card, slow)
  player.start()
  for (let i = 0; i < 333; i++) {
    step(0.1)
    player.wake()
  }
  const saidBefore = sounded(heard)
  // The same calls, half as far apart in time: a car twice as fast.
  player.change({
    profile: { station: [0, 2000], speed: [40, 40], time: [0, 50] },
    calls: slow.calls.map((call) => ({ ...call, start: call.start / 2, end: call.start / 2 + 1 })),
  })
  expect(sounded(heard).slice(0, saidBefore.length)).toEqual(saidBefore)
  for (let i = 0; i < 600; i++) {
    step(0.1)
    player.wake()
  }
  expect(sounded(heard)).toEqual(slow.calls.map((call) => call.clip))
})

it('takes back a call that is committed but not begun when paused, and says it after', () => {
  const { card, heard, step } = fakeCard()
  const player = createPlayer(card, evenRun(20, 2000, 4))
  player.start()
  step(3.08 + 1.8) // the first call starts at 2
  player.wake()
  expect(heard).toHaveLength(1)
  player.pause()
  expect(heard[0]!.stopped).toBe(true)
  player.resume()
  step(0.5)
  player.wake()
  expect(sounded(heard)).toEqual(['clip 0'])
})

it('jumps to a call: counts, then says that call and none before it', () => {
  const { card, heard, step } = fakeCard()
  const player = createPlayer(card, evenRun(20, 2000, 2))
  player.jumpTo(7)
  for (let i = 0; i < 35; i++) {
    step(0.1)
    player.wake()
  }
  expect(sounded(heard)).toEqual(['clip 7'])
  expect(player.position()).toBe(7)
})

it('begins a loop again at its end', () => {
  const { card, heard, step } = fakeCard()
  const player = createPlayer(card, evenRun(20, 2000, 4))
  player.start()
  player.loopBetween({ from: 2, to: 7 })
  for (let i = 0; i < 190; i++) {
    step(0.1)
    player.wake()
  }
  expect(sounded(heard)).toEqual(['clip 0', 'clip 1', 'clip 0', 'clip 1'])
})

it('refuses a jump to a call that is not there', () => {
  const player = createPlayer(fakeCard().card, evenRun(20, 2000, 4))
  expect(() => player.jumpTo(999)).toThrow(RangeError)
})
