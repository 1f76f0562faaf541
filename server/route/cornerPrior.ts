import type { Metres } from '../units.ts'
import { type CornerShape, turnOf } from './cornerShape.ts'
import type { DrivenPace } from './drivenPace.ts'

/** A ramp takes 0.3 of the turning at its arc's curvature, 20 m at most, give or take half (ln); as refineCurve's price takes it too. */
const RAMP_SHARE = 0.3
const LONGEST_RAMP: Metres = 20
const RAMP_SPREAD = 0.5
/** Between two arcs of one corner. */
const CHANGE_RAMP: Metres = 10
/** Where a corner begins (m), how long its arc is and how sharp (ln) are all but free about the first guess. */
const FROM_SPREAD: Metres = 30
const ARC_SPREAD = 1.5
const LEVEL_SPREAD = 1
const SHORT_ARC: Metres = 5
/** ln of the ratio of two radii in one corner, about none. */
const RATIO_SPREAD = 0.5

/**
 * Adds the prior of one shape (parameters from row `at` on, `columns` in all) to normal equations and their right side; `begun` is the first guess; `pace`, if any,
 * what it was driven at says of each level. Returns −2 ln of its density but for constants. Only the lower triangle of `normal` is used.
 */
export function addPriorInPlace(
  shape: CornerShape,
  begun: CornerShape,
  at: number,
  columns: number,
  normal: Float64Array,
  right: Float64Array,
  pace: DrivenPace | null,
): number {
  const { lengths, levels } = shape
  const n = lengths.length
  const turn = turnOf(shape)
  let cost = 0
  const one = (row: number, off: number, spread: number) => {
    const weight = 1 / spread ** 2
    normal[row * columns + row] = normal[row * columns + row]! + weight
    right[row] = right[row]! + off * weight
    cost += off * off * weight + 2 * Math.log(spread)
  }
  one(at, begun.from - shape.from, FROM_SPREAD)
  for (let i = 0; i < n; i++) {
    const length = lengths[i]!
    if (i % 2 === 1) one(at + 1 + i, Math.log(begun.lengths[i]! / length), ARC_SPREAD)
    else {
      const level = Math.abs(i === 0 ? levels[0]! : levels.at(-1)!)
      const usual = i > 0 && i + 1 < n ? CHANGE_RAMP : Math.min(LONGEST_RAMP, (RAMP_SHARE * turn) / level)
      one(at + 1 + i, Math.log(usual / length), RAMP_SPREAD)
    }
  }
  const row = at + 1 + n
  if (pace !== null) {
    let begins = shape.from + lengths[0]!
    for (let i = 0; i < levels.length; i++) {
      const arc = lengths[2 * i + 1]!
      const level = levels[i]!
      const slope = (pace.expected(level * 1.05) - pace.expected(level / 1.05)) / (2 * Math.log(1.05))
      const off = Math.log(pace.between(begins, begins + arc)) - pace.expected(level)
      // A short arc's pace is that of a few fixes, and partly of its ramps.
      const grain = pace.grain / Math.max(SHORT_ARC, arc)
      const weight = 1 / (pace.spread ** 2 + grain * grain)
      normal[(row + i) * columns + row + i] = normal[(row + i) * columns + row + i]! + slope * slope * weight
      right[row + i] = right[row + i]! + slope * off * weight
      cost += off * off * weight
      begins += arc + lengths[2 * i + 2]!
    }
  }
  if (levels.length === 1) {
    one(row, Math.log(begun.levels[0]! / levels[0]!), LEVEL_SPREAD)
    return cost
  }
  // Two levels: their mean and their difference, each by itself.
  const mean = Math.log((begun.levels[0]! * begun.levels[1]!) / (levels[0]! * levels[1]!)) / 2
  const apart = -Math.log(levels[1]! / levels[0]!)
  const a = 1 / LEVEL_SPREAD ** 2
  const b = 1 / RATIO_SPREAD ** 2
  normal[row * columns + row] = normal[row * columns + row]! + a / 4 + b
  normal[(row + 1) * columns + row + 1] = normal[(row + 1) * columns + row + 1]! + a / 4 + b
  normal[(row + 1) * columns + row] = normal[(row + 1) * columns + row]! + a / 4 - b
  right[row] = right[row]! + (a * mean) / 2 - b * apart
  right[row + 1] = right[row + 1]! + (a * mean) / 2 + b * apart
  return cost + a * mean * mean + b * apart * apart + 2 * Math.log(LEVEL_SPREAD) + 2 * Math.log(RATIO_SPREAD)
}
