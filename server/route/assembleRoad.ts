import type { Metres } from '../units.ts'
import { buildRoute } from './buildRoute.ts'
import { cutRoute } from './cutRoute.ts'
import { importRoute } from './importRoute.ts'
import { joinLines } from './joinLines.ts'
import { reverseRoute } from './reverseRoute.ts'
import type { RoadLine, Route } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/** A file of a road as it was imported; it is only ever read. */
export interface RoadFile {
  readonly name: string
  readonly bytes: Uint8Array
}

/** The road of some files, end to end, before a crew's stretch and direction. */
export interface WholeRoad {
  readonly route: Route
  readonly lines: readonly RoadLine[]
}

/** Which part of the whole road is the stage, and which way it is driven. */
export interface RoadEdit {
  /** Stations of the whole road, from < to, also where it is driven the other way. */
  readonly stretch?: { readonly from: Metres; readonly to: Metres } | null | undefined
  readonly reversed?: boolean | null | undefined
}

/**
 * The road of one or several files (at least one), their lines joined (joinLines) and smoothed (buildRoute); `lines` are the lines a crew has chosen, null for
 * the longest road there is. `tell` hears what is being done. Throws RouteFileError in words.
 */
export function assembleRoad(
  files: readonly RoadFile[],
  lines: readonly number[] | null,
  tell: (doing: string) => void = () => {},
): WholeRoad {
  if (!(files.length >= 1)) throw new RangeError('assembleRoad: no files')
  const drafts = files.map((file) => {
    tell(`reading ${file.name}`)
    return importRoute(file.bytes, file.name)
  })
  tell('joining lines')
  const joined = joinLines(drafts, lines)
  tell('smoothing the road')
  return { route: buildRoute(joined.draft), lines: joined.lines }
}

/** The stage's own road out of the whole one. Throws RouteFileError where the stretch is not on this road. */
export function editRoad(whole: Route, { stretch, reversed }: RoadEdit): Route {
  if (stretch && !(stretch.from >= 0 && stretch.from + 10 < Math.min(stretch.to, whole.length)))
    throw new RouteFileError(
      `The stretch from ${stretch.from} to ${stretch.to} m is not on this road of ${whole.length} m; choose start and finish on it.`,
    )
  const cut = stretch ? cutRoute(whole, stretch.from, stretch.to) : whole
  return reversed ? reverseRoute(cut) : cut
}
