import type { Metres, PerMetre, Radians } from '../units.ts'

/**
 * A corner as roads are laid out: ramp, arc, ramp; with a change of radius ramp, arc, ramp, arc, ramp. `lengths` of those pieces in order, `levels` the signed
 * curvature of each arc, so lengths.length = 2·levels.length + 1. All lengths > 0, all levels of one sign.
 */
export interface CornerShape {
  readonly from: Metres
  readonly lengths: readonly Metres[]
  readonly levels: readonly PerMetre[]
}

export const shapeEnd = (shape: CornerShape): Metres => shape.lengths.reduce((sum, one) => sum + one, shape.from)

/** Parameters: where it begins, ln of each length, ln |level| of each arc. */
export const parameterCount = (shape: CornerShape): number => 1 + shape.lengths.length + shape.levels.length

/** The shape with each parameter moved by what stands in `by` from `at` on. */
export function moved(shape: CornerShape, by: ArrayLike<number>, at = 0): CornerShape {
  const n = shape.lengths.length
  return {
    from: shape.from + by[at]!,
    lengths: shape.lengths.map((length, i) => length * Math.exp(by[at + 1 + i]!)),
    levels: shape.levels.map((level, i) => level * Math.exp(by[at + 1 + n + i]!)),
  }
}

/** Adds `scale` × the shape's curvature to values at stations start, start + step … */
export function addCurvatureInPlace(
  shape: CornerShape,
  start: Metres,
  step: Metres,
  values: Float64Array,
  scale: number,
): void {
  let begin = shape.from
  let level = 0
  for (let i = 0; i < shape.lengths.length; i++) {
    const length = shape.lengths[i]!
    const next = i % 2 === 1 ? level : (shape.levels[i >> 1] ?? 0)
    const slope = (next - level) / length
    const first = Math.max(0, Math.ceil((begin - start) / step))
    const last = Math.min(values.length - 1, Math.ceil((begin + length - start) / step) - 1)
    for (let j = first; j <= last; j++) values[j] = values[j]! + scale * (level + slope * (start + j * step - begin))
    begin += length
    level = next
  }
}

/** How far it turns in all, > 0. */
export function turnOf(shape: CornerShape): Radians {
  let sum = 0
  let level = 0
  for (let i = 0; i < shape.lengths.length; i++) {
    const next = i % 2 === 1 ? level : Math.abs(shape.levels[i >> 1] ?? 0)
    sum += ((level + next) / 2) * shape.lengths[i]!
    level = next
  }
  return sum
}
