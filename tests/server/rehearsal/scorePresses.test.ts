import { expect, it } from 'vitest'
import { scorePresses } from '../../../server/rehearsal/scorePresses.ts'
import type { TakeCall } from '../../../server/rehearsal/scoreTake.ts'

const calls = [0, 10, 20].map(
  (at, index): TakeCall => ({
    index,
    say: 'five left',
    station: 0,
    start: at,
    end: at + 1,
    earliest: at,
    latest: at,
    preferred: at,
    actBy: at + 4,
    deadline: null,
  }),
)

it('sets each press against its own call: one in time, none, one late', () => {
  const acted = scorePresses(calls, [2.5, 24.5], 60)
  expect(acted.map(({ reaction, afterActBy }) => [reaction, afterActBy])).toEqual([
    [1.5, -1.5],
    [null, null],
    [3.5, 0.5],
  ])
})

it('leaves out calls after the ride was ended', () => {
  expect(scorePresses(calls, [], 14)).toHaveLength(2)
})
