import type { RoadEdit } from '../route/assembleRoad.ts'
import { fromPlane, toPlane } from '../route/localPlane.ts'
import type { Route } from '../route/route.ts'
import type { Metres } from '../units.ts'

/** A whole road and what of it is the stage. */
export interface EditedRoad {
  readonly whole: Route
  readonly edit: RoadEdit
}

/** Another file's line of the same road is not farther off than this. */
const SAME_ROAD: Metres = 30

/**
 * Where a station of one road is on another, so that what was put by hand stays in its place when a stretch, a direction or a file is changed: exactly, where
 * both are of one whole road; by the nearest point within 30 m, where the files differ. Null where that place is not on the other road.
 */
export function carryStation(before: EditedRoad, after: EditedRoad, station: Metres): Metres | null {
  const was = ends(before)
  const whole = was.reversed ? was.to - station : was.from + station
  const there = before.whole === after.whole ? whole : samePlace(before.whole, after.whole, whole)
  if (there === null) return null
  const is = ends(after)
  return there < is.from || there > is.to ? null : is.reversed ? is.to - there : there - is.from
}

/** The same stretch of ground on another whole road, driven the same way; none where it was the whole of it, or is not on the other. */
export function carryEdit(before: EditedRoad, after: Route): RoadEdit {
  const { stretch, reversed } = before.edit
  const [a, b] = [0, 1].map((end) => {
    const station = end === 0 ? (stretch?.from ?? 0) : (stretch?.to ?? before.whole.length)
    return samePlace(before.whole, after, Math.min(station, before.whole.length))
  }) as [Metres | null, Metres | null]
  if (a === null || b === null || Math.abs(a - b) <= 10) return { stretch: null, reversed }
  const turned = b < a
  return {
    stretch: stretch ? { from: Math.min(a, b), to: Math.max(a, b) } : null,
    reversed: turned ? !reversed : reversed,
  }
}

function ends({ whole, edit }: EditedRoad): { from: Metres; to: Metres; reversed: boolean } {
  const { stretch } = edit
  return {
    from: stretch ? Math.round(stretch.from) : 0,
    to: stretch ? Math.min(whole.length, Math.round(stretch.to)) : whole.length,
    reversed: edit.reversed ?? false,
  }
}

function samePlace(before: Route, after: Route, station: Metres): Metres | null {
  const i = Math.max(0, Math.min(before.x.length - 1, Math.round(station / before.step)))
  let point = { x: before.x[i]!, y: before.y[i]! }
  if ((before.origin === null) !== (after.origin === null)) return null
  if (before.origin && after.origin) {
    const { latitude, longitude } = fromPlane(before.origin, point.x, point.y)
    point = toPlane(after.origin, latitude, longitude)
  }
  let best = 0
  let least = Number.POSITIVE_INFINITY
  for (let k = 0; k < after.x.length; k++) {
    const d = Math.hypot(after.x[k]! - point.x, after.y[k]! - point.y)
    if (d < least) {
      least = d
      best = k
    }
  }
  return least <= SAME_ROAD ? best * after.step : null
}
