import { expect, it } from 'vitest'
import { strip } from '../../../client/road/ribbonGeometry.ts'
import { roadPoint } from '../../../client/road/roadLookup.ts'
import type { RoadTable } from '../../../server/api/wire.ts'

/** Two metres a row, going west through the seam of angles and one metre up a row. */
const road: RoadTable = {
  step: 2,
  length: 4,
  source: 'line',
  closed: false,
  x: [0, -2, -4],
  y: [0, 0, 0],
  z: [0, 1, 2],
  heading: [Math.PI - 0.1, -Math.PI + 0.1, -Math.PI + 0.1],
  curvature: [0, 0, 0],
  features: [],
  noise: { position: null, curvature: null },
  losses: {},
}

it('turns the short way round between rows', () => {
  const point = { x: 0, y: 0, z: 0, heading: 0 }
  roadPoint(road, 1, point)
  expect(Math.cos(point.heading)).toBeCloseTo(-1, 12) // half way between π − 0.1 and π + 0.1 is π
})

it('stands between rows where the station says, and at the ends beyond them', () => {
  const point = { x: 0, y: 0, z: 0, heading: 0 }
  roadPoint(road, 3, point)
  expect([point.x, point.z]).toEqual([-3, 1.5])
  roadPoint(road, 99, point)
  expect([point.x, point.z]).toEqual([-4, 2])
})

it('draws the road as one strip: two corners a row, two triangles between rows', () => {
  const geometry = strip(road, 'road')
  expect(geometry.getAttribute('position').count).toBe(6)
  expect(geometry.getIndex()!.count).toBe(12)
})
