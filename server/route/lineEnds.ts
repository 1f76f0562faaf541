import type { Metres } from '../units.ts'
import type { RouteDraft } from './route.ts'

/** A run of points of a draft: [from, to). */
export interface Piece {
  readonly from: number
  readonly to: number
}

/** One end of a line: where it is, and which way one drives when leaving the line there; vectors in space, so that no meridian is special. */
export interface LineEnd {
  readonly place: Vector
  readonly outward: Vector
}

export type Vector = readonly [Metres, Metres, Metres]

/** Mean radius of the earth (IUGG), for deciding what is near; lengths of the road itself come from the plane of WGS 84. */
const EARTH: Metres = 6_371_008.8
/** Heading at an end is taken over this much of the line. */
const LOOK_BACK: Metres = 20

/** A point of a draft in space: on a sphere for degrees, on the plane for metres. */
export function inSpace(draft: RouteDraft, i: number): Vector {
  if (draft.frame === 'planar') return [draft.easting[i]!, draft.northing[i]!, 0]
  const latitude = (draft.northing[i]! * Math.PI) / 180
  const longitude = (draft.easting[i]! * Math.PI) / 180
  const across = EARTH * Math.cos(latitude)
  return [across * Math.cos(longitude), across * Math.sin(longitude), EARTH * Math.sin(latitude)]
}

export const distance = (a: Vector, b: Vector): Metres => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])

/** Point to point. */
export function lengthOf(draft: RouteDraft, { from, to }: Piece): Metres {
  let length = 0
  let before = inSpace(draft, from)
  for (let i = from + 1; i < to; i++) {
    const here = inSpace(draft, i)
    length += distance(before, here)
    before = here
  }
  return length
}

/** The start (0) or the finish (1) of a piece of two points at least. */
export function lineEnd(draft: RouteDraft, { from, to }: Piece, which: 0 | 1): LineEnd {
  const step = which === 0 ? 1 : -1
  const first = which === 0 ? from : to - 1
  const place = inSpace(draft, first)
  let inner = place
  for (let i = first + step; i >= from && i < to && distance(inner, place) < LOOK_BACK; i += step)
    inner = inSpace(draft, i)
  const far = distance(inner, place) || 1
  return { place, outward: [0, 1, 2].map((k) => (place[k]! - inner[k]!) / far) as unknown as Vector }
}

/** Cosine of the turn from leaving by one end to entering by another: 1 straight on, −1 back the way one came. */
export const straightness = (out: LineEnd, into: LineEnd): number =>
  -(out.outward[0] * into.outward[0] + out.outward[1] * into.outward[1] + out.outward[2] * into.outward[2])
