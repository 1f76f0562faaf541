import { describe, expect, it } from 'vitest'
import { callToRescue } from '../../../client/rehearsal/reading/rescue.ts'

/** Ten seconds apart, latest start 1 s after the planned one, act-by 5 s after it. */
const calls = [0, 1, 2].map((index) => ({
  index,
  start: 10 * index,
  latest: 10 * index + 1,
  actBy: 10 * index + 5,
}))
const VOICED = ['a', 'b', 'c']
const at = (now: number, heard: number[] = [], rescued: number[] = []) =>
  callToRescue(calls, VOICED, new Set(heard), rescued, now)

describe('the voice helps a reader who is late', () => {
  it('a second after the latest start, not before', () => expect([at(11.9), at(12)]).toEqual([null, 1]))
  it('not when the call was heard, or helped before', () =>
    expect([at(12, [1]), at(12, [], [1])]).toEqual([null, null]))
  it('not when the reader has gone on to a later call', () => expect(at(12, [2])).toBeNull())
  it('with the next call, where one has no sound', () => {
    const close = calls.map((call) => ({ ...call, actBy: 100 }))
    expect(callToRescue(close, [null, 'b', 'c'], new Set(), [], 12)).toBe(1)
  })
  it('not when it is too late to act on it', () => expect(at(15.1)).toBeNull())
})
