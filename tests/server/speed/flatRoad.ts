import type { RoadCells } from '../../../server/speed/speed.ts'

/** A flat road of 1 m cells with bends `[from, to, radius]`. */
export function flatRoad(length: number, bends: readonly (readonly [number, number, number])[] = []): RoadCells {
  const curvature = new Float64Array(length)
  for (const [from, to, radius] of bends) curvature.fill(1 / radius, from, to)
  return { step: 1, curvature, slope: new Float64Array(length), vertical: new Float64Array(length) }
}
