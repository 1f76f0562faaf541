import { BufferAttribute, BufferGeometry } from 'three'
import type { RoadTable } from '../../server/api/wire.ts'

/** Half widths and drops of the strips that make the road and its land, metres. */
export const HALF_ROAD = 2.6
const STRIPS = {
  road: [-HALF_ROAD, HALF_ROAD, 0, 0],
  leftEdge: [HALF_ROAD - 0.28, HALF_ROAD, 0.012, 0.012],
  rightEdge: [-HALF_ROAD, -HALF_ROAD + 0.28, 0.012, 0.012],
  leftVerge: [HALF_ROAD, 7, -0.02, -0.25],
  rightVerge: [-7, -HALF_ROAD, -0.25, -0.02],
  leftLand: [7, 70, -0.25, -3.5],
  rightLand: [-70, -7, -3.5, -0.25],
} as const
export type StripName = keyof typeof STRIPS

/** A strip along the road from `right` to `left` of the middle line, in three's axes: x east, y up, z south. One geometry, one draw. */
export function strip(road: RoadTable, name: StripName): BufferGeometry {
  const [right, left, dropRight, dropLeft] = STRIPS[name]
  const n = road.x.length
  const positions = new Float32Array(n * 6)
  for (let i = 0; i < n; i++) {
    const nx = -Math.sin(road.heading[i]!)
    const ny = Math.cos(road.heading[i]!)
    place(positions, i * 6, road.x[i]! + nx * right, road.y[i]! + ny * right, road.z[i]! + dropRight)
    place(positions, i * 6 + 3, road.x[i]! + nx * left, road.y[i]! + ny * left, road.z[i]! + dropLeft)
  }
  const index = new Uint32Array((n - 1) * 6)
  for (let i = 0; i + 1 < n; i++) index.set([2 * i, 2 * i + 2, 2 * i + 1, 2 * i + 1, 2 * i + 2, 2 * i + 3], i * 6)
  const geometry = new BufferGeometry()
  geometry.setAttribute('position', new BufferAttribute(positions, 3))
  geometry.setIndex(new BufferAttribute(index, 1))
  geometry.computeBoundingSphere()
  return geometry
}

function place(into: Float32Array, at: number, x: number, y: number, z: number): void {
  into[at] = x
  into[at + 1] = z
  into[at + 2] = -y
}
