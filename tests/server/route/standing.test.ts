import { describe, expect, it } from 'vitest'
import { buildRoute } from '../../../server/route/buildRoute.ts'
import { draftOf } from '../../logDraft.ts'
import { seededNormal, seededRandom } from '../../seededRandom.ts'
import { type Log, logOf, syntheticRoad } from '../../syntheticRoad.ts'

const road = syntheticRoad(3, { length: 4000 })
const drive = logOf(road, 3, { noise: 0.3, bias: 3 })
const corners = (log: Log) => buildRoute(draftOf(log)).features.filter((one) => one.kind === 'corner').length

/** A minute and a half of shuffling about in a queue after fix `at`, round and round at 1.2 m a second in a circle of 3.5 m, as no pause of ten seconds shows. */
function queued(log: Log, at: number): Log {
  const random = seededRandom(5)
  const away = Array.from({ length: 90 }, (_, i) => ({
    x: 3.5 * Math.sin((1.2 / 3.5) * i) + 0.2 * seededNormal(random),
    y: 3.5 - 3.5 * Math.cos((1.2 / 3.5) * i) + 0.2 * seededNormal(random),
  }))
  const spliced = (values: number[], inserted: number[], later: number) => [
    ...values.slice(0, at + 1),
    ...inserted,
    ...values.slice(at + 1).map((value) => value + later),
  ]
  return {
    x: spliced(
      log.x,
      away.map((one) => log.x[at]! + one.x),
      0,
    ),
    y: spliced(
      log.y,
      away.map((one) => log.y[at]! + one.y),
      0,
    ),
    t: spliced(
      log.t,
      away.map((_, i) => log.t[at]! + i + 1),
      90,
    ),
    s: spliced(
      log.s,
      away.map(() => log.s[at]!),
      0,
    ),
  }
}

describe('a car that shuffled about in a queue', () => {
  const queue = queued(queued(drive, 200), 80)

  it('leaves no loops in the road', () => {
    const built = buildRoute(draftOf(queue))
    expect(Math.max(...built.curvature.map(Math.abs))).toBeLessThan(1 / 5)
    expect(Math.abs(built.length - buildRoute(draftOf(drive)).length)).toBeLessThan(12)
  })

  it('adds no corners', () => {
    expect(corners(queue)).toBeLessThanOrEqual(corners(drive) + 1)
  })

  it('is counted among the losses', () => {
    const { losses } = buildRoute(draftOf(queue))
    const stood = (losses['points of creeping, passed over'] ?? 0) + (losses['points of standing still'] ?? 0)
    expect(stood).toBeGreaterThan(150)
  })
})
