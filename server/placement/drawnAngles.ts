import type { Metres, Radians } from '../units.ts'
import type { CallView } from './callView.ts'

/** Turning of a corner called so: least, usual, most (docs/method/placement.md; common practice, no source). */
type Turning = readonly [least: Radians, usual: Radians, most: Radians]

/** Grades wider than this turn less. */
const FAST: Metres = 80
const SHORTER = 0.8

export function turningOf(view: CallView): Turning {
  const name = view.grade?.name ?? ''
  if (view.hairpin) return [2.4, 2.8, 3.2]
  if (name.endsWith('°')) return [0.9 * view.grade!.angle, view.grade!.angle, 1.1 * view.grade!.angle]
  if (name.startsWith('square')) return [1.35, 1.57, 1.75]
  if (view.long === 2) return [2.2, 2.6, 3.4]
  if (view.long === 1) return [1.25, 1.5, 2.1]
  const fast = (view.grade?.radius ?? 65) > FAST
  if (view.grade !== null && view.usualAngle < SHORTER * view.grade.angle)
    return fast ? [0.25, 0.4, 0.6] : [0.3, 0.5, 0.7]
  return fast ? [0.4, 0.7, 1.15] : [0.5, 0.95, 1.2]
}

/** Heading is kept in bins of so many radians, as far as this to each side; each corner is tried at so many turnings. */
const BIN: Radians = 0.04
const FARTHEST: Radians = 5
const TRIED = 9
/** While the road heads less than this from its first heading it cannot come back upon itself. */
const FREE: Radians = 1.2
const STRENGTH = 3
const STRAYS = 0.3

/**
 * Turning of each call's corner (0 for other calls), so that the drawn road seldom crosses itself: an exact dynamic programme over heading, least
 *   Σ 0.3((a − usual)/w)² + Λ·excess(heading)²·(0.2 + straight/100), and the same at mid-corner;  excess = max(0, |heading| − 1.2)
 * (docs/method/placement.md). `straights[i]` is the road after call i. O(corners × bins × turnings tried).
 */
export function drawnAngles(views: readonly CallView[], straights: readonly Metres[]): Radians[] {
  const bins = Math.round((2 * FARTHEST) / BIN) + 1
  let cost = new Float64Array(bins).fill(Number.POSITIVE_INFINITY)
  cost[(bins - 1) / 2] = 0
  const steps: { call: number; choice: Int8Array; from: Int16Array; angles: Radians[] }[] = []
  views.forEach((view, call) => {
    const straight = straights[call]!
    if (view.kind !== 'corner') {
      cost = cost.map((value, b) => value + STRENGTH * excess(headingOf(b)) * (straight / 100))
      return
    }
    const [least, usual, most] = turningOf(view)
    const width = (most - least) / 2
    const sign = view.side === 'right' ? -1 : 1
    const angles = Array.from({ length: TRIED }, (_, k) => least + ((most - least) * k) / (TRIED - 1))
    const next = new Float64Array(bins).fill(Number.POSITIVE_INFINITY)
    const choice = new Int8Array(bins)
    const from = new Int16Array(bins).fill(-1)
    for (let b = 0; b < bins; b++) {
      if (cost[b] === Number.POSITIVE_INFINITY) continue
      const heading = headingOf(b)
      for (let k = 0; k < TRIED; k++) {
        const after = heading + sign * angles[k]!
        const to = Math.round((after + FARTHEST) / BIN)
        // Beyond the table a road has turned most of a circle: held at its edge, at its price.
        const held = Math.min(bins - 1, Math.max(0, to))
        const price =
          cost[b]! +
          STRAYS * ((angles[k]! - usual) / width) ** 2 +
          STRENGTH * (excess(after) * (0.2 + straight / 100) + excess(heading + (sign * angles[k]!) / 2) * 0.2)
        if (price < next[held]!) {
          next[held] = price
          choice[held] = k
          from[held] = b
        }
      }
    }
    cost = next
    steps.push({ call, choice, from, angles })
  })
  let b = cost.reduce((best, value, at) => (value < cost[best]! ? at : best), 0)
  const chosen = views.map(() => 0)
  for (const step of steps.reverse()) {
    chosen[step.call] = step.angles[step.choice[b]!]!
    b = step.from[b]!
  }
  return chosen
}

const headingOf = (bin: number): Radians => bin * BIN - FARTHEST

function excess(heading: Radians): number {
  return Math.max(0, Math.abs(heading) - FREE) ** 2
}
