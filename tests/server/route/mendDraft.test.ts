import { describe, expect, it } from 'vitest'
import { mendDraft } from '../../../server/route/mendDraft.ts'
import type { RouteDraft } from '../../../server/route/route.ts'

const draft = (
  points: readonly (readonly [number, number, number | null])[],
  more: Partial<RouteDraft> = {},
): RouteDraft => ({
  name: 'made up',
  format: 'gpx',
  frame: 'geographic',
  northing: points.map(([latitude]) => latitude),
  easting: points.map(([, longitude]) => longitude),
  height: points.map(() => null),
  time: points.map(([, , time]) => time),
  breaks: [],
  losses: {},
  ...more,
})
const log = Array.from({ length: 20 }, (_, i) => [47 + i / 1000, 8, i] as const)

describe('points at 0° north 0° east', () => {
  it('are let go in a file whose road is elsewhere, and told', () => {
    const mended = mendDraft(draft([...log, [0, 0, 20]]))
    expect(mended.northing).toHaveLength(20)
    expect(mended.losses).toEqual({ 'points at 0° north 0° east, where a receiver has no fix': 1 })
  })

  it('stay on a road that is really there', () => {
    const there = draft([
      [0, 0, 0],
      [0.001, 0, 1],
    ])
    expect(mendDraft(there)).toBe(there)
  })
})

describe('a few points without a time', () => {
  it('are let go, so that the clock of the others serves', () => {
    const mended = mendDraft(draft([...log.slice(0, 10), [47.0095, 8, null], ...log.slice(10)]))
    expect(mended.time.every((time) => time !== null)).toBe(true)
    expect(mended.losses).toEqual({ 'points without a time, left out': 1 })
  })

  it('stay where many have none', () => {
    const mixed = draft(log.map(([a, b, t], i) => [a, b, i % 2 ? t : null]))
    expect(mendDraft(mixed)).toBe(mixed)
  })

  it('move the breaks that stand behind them, and a piece that had nothing else is gone', () => {
    const points = [[47, 8, null], ...log] as const
    const mended = mendDraft(draft(points, { breaks: [1, 11], names: ['lost', 'a', 'b'] }))
    expect([mended.breaks, mended.names]).toEqual([[10], ['a', 'b']])
  })
})
