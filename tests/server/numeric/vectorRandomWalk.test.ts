import { describe, expect, it } from 'vitest'
import { vectorRandomWalk } from '../../../server/numeric/vectorRandomWalk.ts'

const N = 41
const at = Array.from({ length: N }, (_, i) => i)
const normalX = at.map((i) => Math.cos(i))
const normalY = at.map((i) => Math.sin(i))
const seen = (x: number, y: number) => at.map((_, i) => x * normalX[i]! + y * normalY[i]!)

describe('an offset seen across a winding road', () => {
  it('is found both ways when it is the same all along', () => {
    const d = vectorRandomWalk(N, { at, normalX, normalY, value: seen(2, -1), weight: at.map(() => 1) }, 10)
    for (let j = 0; j < N; j++) {
      expect(d.x[j]).toBeCloseTo(2, 3)
      expect(d.y[j]).toBeCloseTo(-1, 3)
    }
  })

  it('stays as it was last where nothing is seen', () => {
    const weight = at.map((i) => (i < 20 ? 1 : 0))
    const d = vectorRandomWalk(N, { at, normalX, normalY, value: seen(2, -1), weight }, 10)
    expect(d.x[N - 1]).toBeCloseTo(2, 2)
  })

  it('needs a stiffness', () => {
    expect(() => vectorRandomWalk(N, { at, normalX, normalY, value: at, weight: at }, 0)).toThrow(/stiffness/)
  })
})
