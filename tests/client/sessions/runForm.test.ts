import { expect, it } from 'vitest'
import { readMarks, readPart } from '../../../client/sessions/RunForm.tsx'

it.each([
  ['1.2-3.4', { from: 1200, to: 3400 }],
  [' 0 – 2,5 ', { from: 0, to: 2500 }],
  ['3-2', {}],
  ['', {}],
  ['a-b', {}],
])('a part typed as %j is %j', (typed, part) => {
  expect(readPart(typed)).toEqual(part)
})

it('marks are counted from one on the page', () => {
  expect(readMarks('12, 30 45')).toEqual({ marks: [11, 29, 44] })
  expect(readMarks('none')).toEqual({})
})
