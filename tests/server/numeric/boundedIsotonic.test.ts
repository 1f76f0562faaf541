import { describe, expect, it } from 'vitest'
import { boundedIsotonic } from '../../../server/numeric/boundedIsotonic.ts'

const fitted = (preferred: number[], low: number[], high: number[], weight = preferred.map(() => 1)) => [
  ...boundedIsotonic({ preferred, weight, low, high }),
]
const free = (n: number, value: number) => new Array<number>(n).fill(value)

describe('boundedIsotonic', () => {
  it('keeps what is in order', () => expect(fitted([1, 2, 3], free(3, -9), free(3, 9))).toEqual([1, 2, 3]))

  it('pools what is not, by weight', () => expect(fitted([4, 0], free(2, -9), free(2, 9), [1, 3])).toEqual([1, 1]))

  it('is not the free fit clipped: (9, 5, 6.5) under (10, 6, 7.5)', () => {
    // scheduling.md §3: the free fit is 6.833 for all, clipped 6, 6, 6.833; the best is 6, 6, 6.5.
    expect(fitted([9, 5, 6.5], free(3, -9), [6, 6, 7.5])).toEqual([6, 6, 6.5])
  })

  it('refuses bounds that leave nothing', () =>
    expect(() => fitted([1], [2], [1])).toThrow(/no value fits at 0: 2 > 1/))

  it('refuses a weight of nothing', () =>
    expect(() => fitted([1], [0], [2], [0])).toThrow(/weight\[0\] must be > 0, got 0/))
})
