import { describe, expect, it } from 'vitest'
import type { Route } from '../../../server/route/route.ts'
import { roadCells } from '../../../server/speed/roadCells.ts'

/** A bend of 50 m radius to the right that starts 3 m on, climbing at 1 in 10, headings wrapped as an importer may leave them. */
const stations = 11
const array = (value: (i: number) => number) => Float64Array.from({ length: stations }, (_, i) => value(i))
const route: Route = {
  length: 10,
  step: 1,
  closed: false,
  x: array((i) => i),
  y: array(() => 0),
  z: array((i) => i / 10),
  heading: array((i) => -Math.PI + 0.01 - Math.max(0, i - 3) / 50 + (i > 3 ? 2 * Math.PI : 0)),
  curvature: array(() => 99),
  grade: array((i) => 0.1 - i / 400),
  verticalCurvature: array(() => 99),
  features: [],
  losses: {},
  source: 'line',
  noise: { position: null, curvature: null },
  origin: null,
}

describe('roadCells', () => {
  const cells = roadCells(route)

  it('takes the exact mean curvature of each cell from headings, across the seam of ±π', () => {
    expect(cells.curvature[2]).toBeCloseTo(0, 12)
    expect(cells.curvature[3]).toBeCloseTo(-1 / 50, 12)
  })

  it('takes the sine of the slope from heights', () => expect(cells.slope[4]).toBeCloseTo(0.1 / Math.sqrt(1.01), 12))

  it('takes vertical curvature from grades, crests negative', () => expect(cells.vertical[4]).toBeCloseTo(-1 / 400, 12))

  it('leaves vertical curvature out on called jumps only', () => {
    const jumped = roadCells(route, [{ from: 4, to: 6 }])
    expect([3, 4, 5, 6].map((i) => jumped.vertical[i] === 0)).toEqual([false, true, true, false])
  })
})
