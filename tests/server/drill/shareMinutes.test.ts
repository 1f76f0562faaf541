import { describe, expect, it } from 'vitest'
import { type StageNeed, shareMinutes, sharesByDay } from '../../../server/drill/shareMinutes.ts'

const stage = (name: string, more: Partial<StageNeed> = {}): StageNeed => ({
  stage: name,
  calls: 100,
  forecast: 0.5,
  ride: 300,
  rested: 0,
  order: 0,
  ...more,
})

describe('minutes among the stages of an event', () => {
  it('go by calls times what is not known', () => {
    const sittings = shareMinutes([stage('half'), stage('most', { forecast: 0.75 })], 1800)
    expect(sittings).toEqual([
      { stage: 'half', seconds: 1200 },
      { stage: 'most', seconds: 600 },
    ])
  })

  it('give a stage that rested two days a whole ride first', () => {
    const sittings = shareMinutes(
      [stage('weak', { forecast: 0.1 }), stage('rested', { forecast: 0.97, rested: 2 })],
      900,
    )
    expect(sittings[0]!.stage).toBe('rested')
    expect(sittings[0]!.seconds).toBeGreaterThanOrEqual(300)
  })

  it('never more nor less than there are', () => {
    const many = Array.from({ length: 7 }, (_, i) => stage(`s${i}`, { rested: i, calls: 20 + 40 * i, order: i }))
    const total = shareMinutes(many, 1500).reduce((sum, one) => sum + one.seconds, 0)
    expect(total).toBeCloseTo(1500, 6)
  })

  it('make no sitting too short to sit down for', () => {
    const sittings = shareMinutes([stage('weak', { forecast: 0 }), stage('sure', { forecast: 0.99 })], 600)
    expect(sittings).toEqual([{ stage: 'weak', seconds: 600 }])
  })

  it('leave stages without calls out', () => {
    expect(shareMinutes([stage('empty', { calls: 0 })], 600)).toEqual([])
  })
})

describe('minutes by day', () => {
  it('let a stage that is nearly known rest, and ride it again every other day', () => {
    const days = sharesByDay([stage('weak', { forecast: 0.1 }), stage('sure', { forecast: 0.99, rested: 1 })], 900, 4)
    expect(days.map((day) => (day.get('sure') ?? 0) >= 300)).toEqual([false, true, false, true])
    expect(days.map((day) => [...day.values()].reduce((sum, one) => sum + one, 0))).toEqual([900, 900, 900, 900])
  })
})
