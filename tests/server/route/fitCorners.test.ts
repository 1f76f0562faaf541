import { describe, expect, it } from 'vitest'
import { buildRoute } from '../../../server/route/buildRoute.ts'
import { draftOf } from '../../logDraft.ts'
import { median, scoreRoad } from '../../roadScore.ts'
import { logOf, syntheticRoad } from '../../syntheticRoad.ts'

const scored = (seeds: readonly number[], noise: number, bias: number) =>
  seeds.map((seed) => {
    const road = syntheticRoad(seed, { changes: true })
    return scoreRoad(road, buildRoute(draftOf(logOf(road, seed, { noise, bias }))))
  })
const entries = (scores: ReturnType<typeof scored>) =>
  median(
    scores.flatMap((one) => one.corners.flatMap((each) => (each.entryError === null ? [] : Math.abs(each.entryError)))),
  )
const count = (scores: ReturnType<typeof scored>, what: 'true' | 'found' | 'false' | 'wrongSense') =>
  scores.reduce((sum, one) => sum + one.changes[what], 0)

// Bounds leave half as much again as twenty seeds measure (docs/method/route.md).
describe('corners refitted to a log without noise', () => {
  const scores = scored([1, 2, 3], 0, 0)

  it('begin where they begin, within half a metre', () => {
    expect(entries(scores)).toBeLessThan(0.5)
  })

  it('tighten and open where they do, nine times in ten', () => {
    expect(count(scores, 'found')).toBeGreaterThanOrEqual(0.9 * count(scores, 'true'))
  })

  it('do not elsewhere', () => {
    expect(count(scores, 'false') + count(scores, 'wrongSense')).toBe(0)
  })
})

describe('corners refitted to a log of 0.1 m on 0.5 m of wander', () => {
  const scores = scored([1, 2, 3], 0.1, 0.5)

  it('begin where they begin, within two metres', () => {
    expect(entries(scores)).toBeLessThan(2)
  })

  it('tighten and open where they do, half the time at least, and hardly elsewhere', () => {
    expect(count(scores, 'found')).toBeGreaterThan(0.5 * count(scores, 'true'))
    expect(count(scores, 'false')).toBeLessThanOrEqual(1)
  })
})
