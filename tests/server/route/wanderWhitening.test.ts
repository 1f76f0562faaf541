import { describe, expect, it } from 'vitest'
import { factorInPlace, forwardInPlace, logDeterminant } from '../../../server/numeric/denseCholesky.ts'
import { type BesideCurve, wanderWhitening, whitenInPlace } from '../../../server/route/wanderWhitening.ts'
import { seededNormal, seededRandom } from '../../seededRandom.ts'

const N = 17
const random = seededRandom(3)
const angles = Array.from({ length: N }, (_, i) => 0.2 * i)
const beside: BesideCurve = {
  station: Float64Array.from(angles, (_, i) => 10 * i),
  across: new Float64Array(N),
  normalX: Float64Array.from(angles, Math.cos),
  normalY: Float64Array.from(angles, Math.sin),
  time: Float64Array.from(angles, (_, i) => i + 0.3 * Math.sin(i)),
  count: Float64Array.from(angles, (_, i) => 1 + (i % 3)),
}
const noise = { white: 0.4, wander: 0.2 }

/** The same covariance written out: the walk's on either side of the middle, white noise on the diagonal. */
function covariance(): Float64Array {
  const out = new Float64Array(N * N)
  const from = beside.time[N >> 1]!
  for (let i = 0; i < N; i++)
    for (let j = 0; j < N; j++) {
      const a = beside.time[i]! - from
      const b = beside.time[j]! - from
      const seen = beside.normalX[i]! * beside.normalX[j]! + beside.normalY[i]! * beside.normalY[j]!
      if (a * b > 0) out[i * N + j] = noise.wander * Math.min(Math.abs(a), Math.abs(b)) * seen
      if (i === j) out[i * N + j] = out[i * N + j]! + noise.white ** 2 / beside.count[i]!
    }
  return out
}

const factor = covariance()
factorInPlace(factor, N)
const whitening = wanderWhitening(beside, 0, N, noise)
const values = Float64Array.from({ length: N }, () => seededNormal(random))
const squares = (all: Float64Array) => all.reduce((sum, one) => sum + one * one, 0)

describe('whitening by two filters run outward', () => {
  it('leaves the sum of squares the whole covariance would', () => {
    const dense = values.slice()
    forwardInPlace(factor, N, dense)
    const filtered = values.slice()
    whitenInPlace(whitening, filtered)
    expect(squares(filtered)).toBeCloseTo(squares(dense), 9)
  })

  it('has its determinant', () => {
    expect(whitening.logDeterminant).toBeCloseTo(logDeterminant(factor, N), 9)
  })
})
