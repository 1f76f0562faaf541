import { describe, expect, it } from 'vitest'
import { drivenTwice } from '../../../server/route/drivenTwice.ts'

/** A road of given points, a metre apart. */
function road(points: readonly (readonly [number, number])[]) {
  const x = Float64Array.from(points, (one) => one[0])
  const y = Float64Array.from(points, (one) => one[1])
  const heading = x.map((_, i) => {
    const [a, b] = [Math.max(0, i - 1), Math.min(x.length - 1, i + 1)]
    return Math.atan2(y[b]! - y[a]!, x[b]! - x[a]!)
  })
  return { x, y, heading, step: 1 }
}
const straight = (n: number, y: number, back = false) =>
  Array.from({ length: n }, (_, i) => [back ? n - 1 - i : i, y] as const)
/** A circle of 1000 m round. */
const circle = (length: number) =>
  Array.from({ length }, (_, i) => {
    const angle = (2 * Math.PI * i) / 1000
    return [(1000 / (2 * Math.PI)) * Math.cos(angle), (1000 / (2 * Math.PI)) * Math.sin(angle)] as const
  })

describe('a road that runs along itself', () => {
  it('is told when a lap is driven twice', () => {
    const { again, back } = drivenTwice(road(circle(1900)))
    expect(again).toBeGreaterThan(880)
    expect(again).toBeLessThan(920)
    expect(back).toBe(0)
  })

  it('is told when it is driven back', () => {
    const { again, back } = drivenTwice(road([...straight(1000, 0), ...straight(1000, 3, true)]))
    expect(again).toBe(0)
    // The first 100 m behind the turn are one bend with what was before it.
    expect(back).toBeGreaterThan(860)
  })

  it('is told from where it does so on: looks in vain before that add nothing', () => {
    // From 995 m, 5 m before the lap is full, to 1495 m: 101 looks, 5 m apart.
    expect(drivenTwice(road(circle(1500))).again).toBe(505)
  })
})

describe('a road that does not', () => {
  it('may be a loop driven once', () => {
    expect(drivenTwice(road(circle(1000)))).toEqual({ again: 0, back: 0 })
  })

  it('may have legs side by side, two lanes apart', () => {
    expect(drivenTwice(road([...straight(1000, 0), ...straight(1000, 20, true)]))).toEqual({ again: 0, back: 0 })
  })
})
