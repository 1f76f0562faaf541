import { describe, expect, it } from 'vitest'
import { findCrests } from '../../../server/route/findFeatures.ts'
import { fitHeights } from '../../../server/route/fitHeights.ts'
import { crestHeights } from '../../crestHeights.ts'

describe('a crest in dense clean heights', () => {
  for (const [radius, over] of [
    [100, 20],
    [200, 40],
    [400, 60],
  ] as const)
    it(`of ${radius} m over ${over} m keeps its radius within 5 %`, () => {
      const heights = crestHeights(radius, over, 3500)
      const { vertical } = fitHeights(
        heights.map((_, s) => s),
        heights,
        heights.length,
      )
      const found = findCrests(vertical).map((crest) => Math.abs(crest.radius / radius - 1))
      expect(found).toHaveLength(5)
      expect(Math.max(...found)).toBeLessThan(0.05)
    })
})
