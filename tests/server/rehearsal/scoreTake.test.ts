import { describe, expect, it } from 'vitest'
import { type HeardCall, scoreTake, type TakeCall } from '../../../server/rehearsal/scoreTake.ts'

/** Calls ten seconds apart: window 2 s wide about the preferred start, words out by 3 s after it. */
const plan = Array.from({ length: 12 }, (_, index): TakeCall => {
  const at = 10 * index
  return {
    index,
    say: 'five left long',
    station: 300 * index,
    start: at,
    end: at + 1,
    earliest: at - 1,
    latest: at + 1,
    preferred: at,
    actBy: at + 4,
    deadline: at + 3,
  }
})
const read = (index: number, off: number, more: Partial<HeardCall> = {}): HeardCall => ({
  index,
  from: 10 * index + off,
  to: 10 * index + off + 1,
  kind: 'read',
  confidence: 0.3,
  ...more,
})
const heard = (calls: HeardCall[], more = {}) => ({
  calls,
  overFloor: 40,
  until: 200,
  rescued: [],
  speech: 12,
  ...more,
})
const verdicts = (calls: HeardCall[], more = {}) =>
  scoreTake(plan, heard(calls, more)).calls.map((call) => call.verdict)
const all = (offs: number[]) => offs.map((off, i) => read(i, off))

describe('a take scored', () => {
  it('names early, in window and late by the limits of the window', () => {
    expect(verdicts(all([-1.5, -0.5, 1.5])).slice(0, 3)).toEqual(['early', 'in window', 'late'])
  })

  it('says skipped in a quiet room and not heard in a loud one', () => {
    expect([verdicts([read(1, 0)])[0], verdicts([read(1, 0)], { overFloor: 6 })[0]]).toEqual(['skipped', 'not heard'])
  })

  it('never guesses: a call that something else explains better is not heard', () => {
    expect(verdicts([read(0, 0, { confidence: -0.02 })])[0]).toBe('not heard')
  })

  it('shows but does not score a call it is not sure of', () => {
    const score = scoreTake(plan, heard([read(0, 5, { confidence: 0.03 })]))
    expect([score.calls[0]!.verdict, score.medianOff]).toEqual(['not sure', null])
  })

  it('takes the start of a call begun again from the first attempt, its end from the full one', () => {
    const { calls } = scoreTake(plan, heard([read(0, 0.2, { kind: 'broken off' }), read(0, 1.4)]))
    expect([calls[0]!.verdict, calls[0]!.off, calls[0]!.end, calls[0]!.corrected]).toEqual([
      'in window',
      0.2,
      2.4,
      true,
    ])
  })

  it('leaves ends near the deadline undecided', () => {
    const score = scoreTake(plan, heard(all([0, 1.9, 2.1, 2.4])))
    expect(score.calls.slice(0, 4).map((call) => call.wordsOut)).toEqual([
      'in time',
      'undecided',
      'undecided',
      'too late',
    ])
  })

  it('leaves calls after the end of the recording out of every count', () => {
    const score = scoreTake(plan, heard(all([0, 0, 0]), { until: 25 }))
    expect([score.reached, score.counts.skipped, score.counts['not reached']]).toEqual([3, 0, 9])
  })

  it('counts the longest run in the window, and how many calls a recovery took', () => {
    const score = scoreTake(plan, heard(all([0, 0, 1.5, 1.5, 0, 0, 0, 0, 0, 0, 0, 0])))
    expect([score.longestRun, score.recoveries]).toEqual([8, [{ after: 2, calls: 1 }]])
  })

  it('gives the voice no credit to the reader', () => {
    expect(verdicts([read(0, 0)], { rescued: [0] })[0]).toBe('rescued')
  })

  it('asks whether it is the right stage when few calls sound like it', () => {
    const weak = plan.map((call) => read(call.index, 0, { confidence: 0.02 }))
    expect(scoreTake(plan, heard(weak)).doubt).toMatch(/right stage/)
  })

  it('hears no call where there was no voice, whatever noise sounds like', () => {
    expect(new Set(verdicts(all([0, 0]), { speech: 0, overFloor: 5 }))).toEqual(new Set(['not heard']))
  })

  it('says so when there was no speech at all', () => {
    expect(scoreTake(plan, heard([], { speech: 0 })).doubt).toMatch(/No speech/)
  })
})
