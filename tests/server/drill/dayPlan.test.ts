import { describe, expect, it } from 'vitest'
import { FARTHEST_DAYS, planByDay, streak } from '../../../server/drill/dayPlan.ts'

const costs = { full: new Array(60).fill(4), condensed: new Array(60).fill(3) }
const event = { date: '2026-06-13', time: '10:00', zone: 'Europe/London' }
const at = (iso: string) => Date.parse(iso) / 1000
const fresh = { heard: 0, position: 0, fullToday: 0 }
const plan = (now: string, more: object = {}) =>
  planByDay({ now: at(now), event, minutesPerDay: 20, morning: true, costs, state: fresh, doneToday: 0, ...more })

describe('the plan by day', () => {
  it('has an evening for each day left and the event morning', () => {
    const { days, daysLeft } = plan('2026-06-10T17:00Z')
    expect(daysLeft).toBe(3)
    expect(days.map((day) => [day.date, day.when])).toEqual([
      ['2026-06-10', 'evening'],
      ['2026-06-11', 'evening'],
      ['2026-06-12', 'evening'],
      ['2026-06-13', 'morning'],
    ])
  })

  // Two rides at 4 s a call are 480 s, less than half of 20 minutes; condensed at 3 s that is 160 calls.
  it('keeps two rides of the last evening for the morning, condensed, ninety minutes before the start', () => {
    const { days } = plan('2026-06-12T17:00Z')
    const morning = days.at(-1)!
    expect([morning.at, morning.seconds]).toEqual([at('2026-06-13T07:30Z'), 480])
    expect(new Set(morning.stretches.map((one) => one.pace))).toEqual(new Set(['condensed']))
    expect(days[0]!.seconds + morning.seconds).toBeLessThanOrEqual(20 * 60)
  })

  it('reaches a year ahead and no farther, however far away the event', () => {
    const { days, daysLeft } = plan('2026-06-10T17:00Z', { event: { ...event, date: '9999-12-31' } })
    expect([days.length, daysLeft > 2_000_000]).toEqual([FARTHEST_DAYS, true])
  })

  it('keeps half of a short evening', () => {
    expect(plan('2026-06-12T17:00Z', { minutesPerDay: 10 }).days.at(-1)!.seconds).toBe(300)
  })

  it('keeps nothing where the morning is not free', () => {
    expect(plan('2026-06-12T17:00Z', { morning: false }).days.map((day) => day.when)).toEqual(['evening'])
  })

  // Clocks in London go back on 25 October 2026 and forward on 28 March 2027: the evening stays at eight, a night has 25 or 23 hours.
  it.each([
    ['2026-10-24', '2026-10-26', 25],
    ['2027-03-27', '2027-03-29', 23],
  ])('over a change of clocks (%s) has its evenings at eight and loses no day', (from, to, hours) => {
    const { daysLeft, days } = plan(`${from}T12:00Z`, { event: { ...event, date: to }, morning: false })
    expect([daysLeft, days.length]).toEqual([2, 2])
    expect((days[1]!.at - days[0]!.at) / 3600).toBe(hours)
  })

  it('takes off what was practised today', () => {
    const { days } = plan('2026-06-10T17:00Z', { doneToday: 15 * 60 })
    expect(days[0]!.seconds).toBeLessThanOrEqual(5 * 60)
    expect(days[1]!.seconds).toBeGreaterThan(15 * 60)
  })

  // 180 s a day: 45 calls heard at 4 s; the other 15, and 40 ridden at 3 s.
  it('goes on from where each day leaves the stage', () => {
    const { days } = plan('2026-06-10T17:00Z', { minutesPerDay: 3 })
    expect(days.map((day) => day.stretches[0]!.from).slice(0, 3)).toEqual([0, 45, 40])
  })
})

describe('when there is little or no time', () => {
  it('says so by the rides that still fit', () => {
    const rides = (minutesPerDay: number) => plan('2026-06-12T17:00Z', { minutesPerDay }).time
    expect([rides(30), rides(10), rides(5)]).toEqual(['fine', 'short', 'very short'])
  })

  it('leaves no plan for an event that has begun', () => {
    expect(plan('2026-06-13T09:00Z')).toMatchObject({ state: 'past', days: [] })
    expect(plan('2026-07-01T09:00Z')).toMatchObject({ state: 'past', days: [] })
  })

  it('plans on the day itself what the evening before kept for it, or nothing', () => {
    const { state, days } = plan('2026-06-13T06:00Z')
    expect([state, days.length, days[0]!.seconds]).toEqual(['today', 1, 480])
    expect(plan('2026-06-13T08:59Z').days[0]!.seconds).toBeLessThanOrEqual(60)
    expect(plan('2026-06-13T06:00Z', { morning: false }).days).toEqual([])
  })

  it('is empty for a stage without calls', () => {
    const empty = plan('2026-06-12T17:00Z', { costs: { full: [], condensed: [] } })
    expect([empty.passes, empty.time]).toEqual([0, 'fine'])
  })
})

describe('the streak', () => {
  it('counts days in a row up to today, and does not break before the day is over', () => {
    expect(streak(['2026-06-08', '2026-06-09', '2026-06-10'], '2026-06-10')).toBe(3)
    expect(streak(['2026-06-08', '2026-06-09'], '2026-06-10')).toBe(2)
    expect(streak(['2026-06-08'], '2026-06-10')).toBe(0)
  })
})
