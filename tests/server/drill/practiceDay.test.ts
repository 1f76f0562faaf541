import { describe, expect, it } from 'vitest'
import { dateAfter, dateIn, daysBetween, instantOf, practiceDay } from '../../../server/drill/practiceDay.ts'

const zone = 'Europe/London'
const at = (iso: string) => Date.parse(iso) / 1000

/** Dates of the changes: IANA time zone database, Europe/London, 2026: forward 29 March 01:00Z, back 25 October 01:00Z. */
describe('a local date and time as an instant', () => {
  it('follows summer time', () => {
    expect(instantOf({ date: '2026-03-28', time: '10:00', zone })).toBe(at('2026-03-28T10:00Z'))
    expect(instantOf({ date: '2026-03-29', time: '10:00', zone })).toBe(at('2026-03-29T09:00Z'))
  })

  it('puts a time that the change leaves out after it', () => {
    expect(instantOf({ date: '2026-03-29', time: '01:30', zone })).toBe(at('2026-03-29T01:30Z'))
  })

  it('takes the first of a time that comes twice', () => {
    expect(instantOf({ date: '2026-10-25', time: '01:30', zone })).toBe(at('2026-10-25T00:30Z'))
  })

  it('knows zones far from Greenwich and changes in the south', () => {
    expect(instantOf({ date: '2026-04-05', time: '12:00', zone: 'Pacific/Auckland' })).toBe(at('2026-04-05T00:00Z'))
    expect(instantOf({ date: '2026-04-04', time: '12:00', zone: 'Pacific/Auckland' })).toBe(at('2026-04-03T23:00Z'))
  })

  it('refuses what is no date, no time or no zone, by name', () => {
    expect(() => instantOf({ date: '29 March', time: '10:00', zone })).toThrow(/29 March/)
    expect(() => instantOf({ date: '2026-03-29', time: '10am', zone })).toThrow(/10am/)
    expect(() => instantOf({ date: '2026-03-29', time: '10:00', zone: 'Mars/Base' })).toThrow(/Mars\/Base/)
  })
})

describe('days', () => {
  it('turn for practice at four in the morning, on changed nights too', () => {
    expect(practiceDay(at('2026-03-29T02:59Z'), zone)).toBe('2026-03-28')
    expect(practiceDay(at('2026-03-29T03:00Z'), zone)).toBe('2026-03-29')
    expect(practiceDay(at('2026-10-25T03:59Z'), zone)).toBe('2026-10-24')
    expect(practiceDay(at('2026-10-25T04:00Z'), zone)).toBe('2026-10-25')
  })

  it('of 23 and of 25 hours count as one', () => {
    const from = instantOf({ date: '2026-03-28', time: '20:00', zone })
    const to = instantOf({ date: '2026-03-29', time: '20:00', zone })
    expect(to - from).toBe(23 * 3600)
    expect(daysBetween(dateIn(from, zone), dateIn(to, zone))).toBe(1)
    expect(daysBetween('2026-10-24', '2026-10-26')).toBe(2)
  })

  it('go over months and years', () => {
    expect(dateAfter('2027-12-31', 1)).toBe('2028-01-01')
    expect(daysBetween('2028-03-01', '2028-02-28')).toBe(-2)
  })
})
