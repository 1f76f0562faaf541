import { expect, it } from 'vitest'
import { createPlayer } from '../../../client/playback/player.ts'
import { evenRun, fakeCard } from './fakeCard.ts'

const countIn = ['three', 'two', 'one', 'go']
/** Clips of the count among what was given to the sound card, with seconds after the press of start. */
function counted(run: Parameters<typeof createPlayer>[1]): [string, number][] {
  const { card, heard } = fakeCard()
  createPlayer(card, run).start()
  return heard
    .filter(({ clip }) => countIn.includes(clip))
    .map(({ clip, at }) => [clip, Number((at - 100.08).toFixed(6))])
}

it('says the count a second apart, the last word on the line', () => {
  expect(counted({ ...evenRun(20, 2000, 4), countIn })).toEqual([
    ['three', 0],
    ['two', 1],
    ['one', 2],
    ['go', 3],
  ])
})

it('never talks over a call', () => {
  const run = evenRun(20, 2000, 4)
  const early = { index: -1, start: -1.8, end: -0.4, clip: 'early' }
  expect(counted({ ...run, calls: [early, ...run.calls], countIn }).map(([word]) => word)).toEqual(['three', 'go'])
})

it('counts in tones where there is no voice', () => {
  expect(counted(evenRun(20, 2000, 4))).toEqual([])
})
