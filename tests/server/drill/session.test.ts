import { describe, expect, it } from 'vitest'
import { planSession, ridesEnd } from '../../../server/drill/session.ts'

const costs = { full: [4, 4, 4, 4], condensed: [2, 2, 2, 2] }
const fresh = { heard: 0, position: 0, fullToday: 0 }
const rides = { heard: 4, position: 0, fullToday: 0 }

describe('one sitting', () => {
  it('listens to the whole stage before anything is asked', () => {
    expect(planSession({ ...fresh, costs, seconds: 9 })).toEqual([
      { from: 0, to: 2, way: 'listen', pace: 'full', seconds: 8 },
    ])
  })

  it('goes on listening where it stopped, then rides from memory', () => {
    const ways = planSession({ ...fresh, heard: 2, costs, seconds: 14 }).map(({ way, from, to }) => [way, from, to])
    expect(ways).toEqual([
      ['listen', 2, 4],
      ['recall', 0, 3],
    ])
  })

  it('resumes where the last ride stopped and goes round the end', () => {
    const stretches = planSession({ ...rides, position: 3, costs, seconds: 6, fullBudget: 0 })
    expect(stretches.map(({ from, to }) => [from, to])).toEqual([
      [3, 4],
      [0, 2],
    ])
    expect(ridesEnd({ ...rides, position: 3 }, stretches, 4).position).toBe(2)
  })

  it('rides a third of the time in full, then condensed', () => {
    const stretches = planSession({ ...rides, costs, seconds: 24 })
    expect(stretches.map(({ pace, seconds }) => [pace, seconds])).toEqual([
      ['full', 8],
      ['condensed', 4],
      ['condensed', 8],
      ['condensed', 4],
    ])
  })

  it('rides never more than the stage once in full', () => {
    const full = planSession({ ...rides, costs, seconds: 300 }).filter((one) => one.pace === 'full')
    expect(full.reduce((sum, one) => sum + one.seconds, 0)).toBe(16)
  })

  it('gives a single call when there is time for less than one', () => {
    expect(planSession({ ...rides, costs, seconds: 1, fullBudget: 0 })).toHaveLength(1)
  })

  it('is empty without calls and without time', () => {
    expect(planSession({ ...fresh, costs: { full: [], condensed: [] }, seconds: 60 })).toEqual([])
    expect(planSession({ ...fresh, costs, seconds: 0 })).toEqual([])
  })

  it('rides a stage of one call again and again', () => {
    const one = { full: [4], condensed: [2] }
    expect(planSession({ heard: 1, position: 0, fullToday: 0, costs: one, seconds: 12, fullBudget: 4 })).toHaveLength(5)
  })

  it('names a time that is none', () => {
    expect(() => planSession({ ...fresh, costs, seconds: Number.NaN })).toThrow(/NaN/)
  })
})
