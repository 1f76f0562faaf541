import { describe, expect, it } from 'vitest'
import { sectionsOf } from '../../../server/rehearsal/sections.ts'
import { MILE } from '../../../server/units.ts'

describe('sections of a road', () => {
  it('are cut at whole kilometres, a short end joining the one before', () =>
    expect(sectionsOf({ from: 0, to: 3400 }, 1000).map((one) => one.title)).toEqual([
      '0 to 1 km',
      '1 to 2 km',
      '2 to 3.4 km',
    ]))
  it('keep their names when only a part of the road is taken', () =>
    expect(sectionsOf({ from: 1500, to: 3600 }, 1000).map((one) => one.title)).toEqual([
      '1.5 to 2 km',
      '2 to 3 km',
      '3 to 3.6 km',
    ]))
  it('are cut at miles for a crew that reads miles', () =>
    expect(sectionsOf({ from: 0, to: 2 * MILE }, MILE).map((one) => one.title)).toEqual(['0 to 1 mi', '1 to 2 mi']))
  it('leave no gap', () => {
    const sections = sectionsOf({ from: 130, to: 9876 }, 1000)
    expect(sections.slice(1).map((one) => one.from)).toEqual(sections.slice(0, -1).map((one) => one.to))
  })
  it('refuse a road that runs backwards', () => expect(() => sectionsOf({ from: 5, to: 5 }, 1000)).toThrow(RangeError))
})
