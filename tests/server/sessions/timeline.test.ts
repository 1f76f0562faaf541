import { describe, expect, it } from 'vitest'
import type { PlanRef } from '../../../server/sessions/clubWire.ts'
import { holdFrom, resumeAt, rideFrom, runEnds } from '../../../server/sessions/runTimeline.ts'
import { positionAt, segmentAt, withSegment } from '../../../server/sessions/timeline.ts'
import { evenPlan } from './evening.ts'

const plan = (id: string, label = id): PlanRef => ({ id, begins: -3, ends: 100, label })

describe('the stage clock of a run', () => {
  const ride = rideFrom([], [plan('a')], { at: 1000, pos: -3, plan: 'a' })

  it('stands nowhere before its first moment and runs second for second after it', () => {
    expect(positionAt(ride, 999.9)).toBeNull()
    expect(positionAt(ride, 1010)).toBe(7)
  })

  it('is held from the moment of a pause, where it is then', () => {
    const held = holdFrom(ride, 1013)
    expect([positionAt(held, 1012), positionAt(held, 1013), positionAt(held, 1500)]).toEqual([9, 10, 10])
  })

  it('forgets what was to come when something else comes sooner', () => {
    const held = holdFrom(rideFrom([], [plan('a'), plan('b')], { at: 1000, pos: 0, plan: 'a' }), 1050)
    expect(held.map((one) => one.plan)).toEqual(['a', 'a'])
  })

  it('plays the second wording after the first, from its own count-in', () => {
    const both = rideFrom([], [plan('verbose'), plan('terse')], { at: 1000, pos: -3, plan: 'verbose' })
    expect(segmentAt(both, 1104)?.plan).toBe('verbose')
    expect(segmentAt(both, 1106)).toEqual({ at: 1105.5, pos: -3, rate: 1, plan: 'terse' })
    expect(runEnds(both, [plan('verbose'), plan('terse')])).toBe(1105.5 + 103)
  })

  it('does not play the old speed of the same wording again', () => {
    const plans = [plan('slow', 'verbose'), plan('terse'), plan('fast', 'verbose')]
    expect(rideFrom([], plans, { at: 0, pos: 0, plan: 'fast' }).map((one) => one.plan)).toEqual(['fast'])
    expect(rideFrom([], plans, { at: 0, pos: 0, plan: 'slow' }).map((one) => one.plan)).toEqual(['slow', 'terse'])
  })

  it('has no end while it is held', () => {
    expect(runEnds(holdFrom(ride, 1013), [plan('a')])).toBeNull()
  })

  it('goes on before a call that the pause cut off', () => {
    expect(resumeAt(evenPlan('p'), 5.5)).toBeCloseTo(4.7, 9) // call 1 lasts from 5 to 6
    expect(resumeAt(evenPlan('p'), 6.5)).toBe(6.5)
  })

  it('keeps a bounded past', () => {
    let many: ReturnType<typeof withSegment> = []
    for (let at = 0; at < 1000; at++) many = withSegment(many, { at, pos: 0, rate: 0, plan: 'a' })
    expect(many).toHaveLength(200)
  })

  it('refuses a moment that is no number', () => {
    expect(() => withSegment([], { at: Number.NaN, pos: 0, rate: 1, plan: 'a' })).toThrow(RangeError)
  })
})
