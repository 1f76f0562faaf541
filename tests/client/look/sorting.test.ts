import { expect, it } from 'vitest'
import { sorted } from '../../../client/look/sorting.tsx'

it('puts numbers by size, not by their digits', () => {
  expect(sorted([9, 100, 25], (one) => one, false)).toEqual([9, 25, 100])
})

it('keeps the order of rows that are alike', () => {
  const rows = ['b1', 'a1', 'b2', 'a2']
  expect(sorted(rows, (one) => one[0]!, true)).toEqual(['b1', 'b2', 'a1', 'a2'])
})
