import { expect, it } from 'vitest'
import { timeOrNull } from '../../../server/route/draftPoints.ts'

const SAME = Date.UTC(2025, 5, 14, 8, 0, 40) / 1000

it.each([
  '2025-06-14T08:00:40Z',
  '2025-06-14T08:00:40z',
  '2025-06-14T08:00:40.0000000Z',
  '2025-06-14T08:00:40,000Z',
  '2025-06-14T10:00:40+0200',
  '2025-06-14T10:00:40+02:00',
  '2025-06-14T10:00:40+02',
  '2025-06-14T06:30:40-01:30',
  '2025-06-14 08:00:40Z',
  '  2025-06-14T08:00:40 Z ',
])('reads the time %s', (text) => {
  expect(timeOrNull(text)).toBe(SAME)
})

it('takes a time without a zone as UTC, whatever zone the machine is in', () => {
  expect(timeOrNull('2025-06-14T08:00:40')).toBe(SAME)
})

it('keeps parts of a second', () => {
  expect(timeOrNull('2025-06-14T08:00:40.25Z')).toBe(SAME + 0.25)
})

it.each(['', 'yesterday', undefined])('takes %s for no time', (text) => {
  expect(timeOrNull(text)).toBeNull()
})
