import type { Metres } from '../units.ts'
import { type CornerShape, shapeEnd, turnOf } from './cornerShape.ts'
import { findCorners } from './findFeatures.ts'
import { fitCorners } from './fitCorners.ts'
import type { FittedLine } from './fitLine.ts'
import type { Fixes } from './fixes.ts'
import { fixStations, type RibbonLine } from './ribbon.ts'
import type { CornerFeature } from './route.ts'

/** On a line this clean a change of the curve's own curvature is one of the road. */
const CLEAN: Metres = 0.05

/** Corners of a fitted log or drawn line, in order, as shapes fitted to its fixes (fitCorners). A corner no shape fits stays as the curvature shows it. */
export function shapeCorners(line: FittedLine, road: RibbonLine, fixes: Fixes): CornerFeature[] {
  const stations = fixStations(line.fixNodes, road.nodeStations)
  const found = findCorners(road.curvature, false)
  const asCurved = findCorners(road.curvature)
  const parts = found.map((corner) =>
    asCurved.filter((one) => one.from + one.to > 2 * corner.from && one.from + one.to < 2 * corner.to),
  )
  const shapes = fitCorners(road, stations, fixes, line.noise, found, parts)
  return found.flatMap((_, i) => {
    const shape = shapes[i]
    if (shape === undefined) return []
    if (shape === null) return parts[i]!
    const features = featuresOf(shape, road.length)
    const [begins, ends] = [features[0]!.from, features.at(-1)!.to]
    return line.noise < CLEAN && parts[i]!.length > features.length
      ? parts[i]!.map((one, k, all) => ({
          ...one,
          from: k === 0 ? begins : one.from,
          to: k + 1 === all.length ? ends : one.to,
        }))
      : features
  })
}

/** One corner for each arc; two part in the middle of the ramp between them. */
function featuresOf(shape: CornerShape, length: Metres): CornerFeature[] {
  const { lengths, levels } = shape
  const begins = Math.max(0, shape.from)
  const ends = Math.min(length, shapeEnd(shape))
  const side = levels[0]! > 0 ? 'left' : 'right'
  if (levels.length === 1)
    return [{ kind: 'corner', side, from: begins, to: ends, radius: 1 / Math.abs(levels[0]!), angle: turnOf(shape) }]
  const middle = shape.from + lengths[0]! + lengths[1]! + lengths[2]! / 2
  const [a, b] = [Math.abs(levels[0]!), Math.abs(levels[1]!)]
  const first = a * (lengths[0]! / 2 + lengths[1]!) + ((3 * a + b) / 8) * lengths[2]!
  return [
    { kind: 'corner', side, from: begins, to: middle, radius: 1 / a, angle: first },
    { kind: 'corner', side, from: middle, to: ends, radius: 1 / b, angle: turnOf(shape) - first },
  ]
}
