import type { Metres } from '../units.ts'
import { averageLogs } from './averageLogs.ts'
import { buildRoute } from './buildRoute.ts'
import { cutRoute } from './cutRoute.ts'
import { drivenTwice } from './drivenTwice.ts'
import { importRoute } from './importRoute.ts'
import { joinLines } from './joinLines.ts'
import { distance, inSpace } from './lineEnds.ts'
import { reverseRoute } from './reverseRoute.ts'
import type { RoadLine, Route, RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/** A file of a road as it was imported; it is only ever read. */
export interface RoadFile {
  readonly name: string
  readonly bytes: Uint8Array
  /** Joined on by its nearest end, or another log of the same road, averaged in; absent is joined. The first file is always joined. */
  readonly use?: 'join' | 'average'
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

/** What is being done, and how much of the whole is done, 0 to 1. */
export type TellProgress = (doing: string, done: number) => void

/** Shares of the time at which each step begins, as a drawn line of 100,000 points takes it (tests/bench/bigFile.bench.ts). */
const READ = 0.3
const AVERAGE = 0.4
const SMOOTH_AVERAGED = 0.8

/**
 * The road of one or several files (at least one): lines joined (joinLines), other logs of it averaged in (averageLogs), smoothed (buildRoute). `lines` are the lines a crew has chosen, null for
 * the longest road there is. `tell` hears what is being done. Throws RouteFileError in words.
 */
export function assembleRoad(
  files: readonly RoadFile[],
  lines: readonly number[] | null,
  tell: TellProgress = () => {},
): WholeRoad {
  if (!(files.length >= 1)) throw new RangeError('assembleRoad: no files')
  const drafts = files.map((file, i) => {
    tell(`reading ${file.name}`, (READ * i) / files.length)
    return importRoute(file.bytes, file.name)
  })
  const averaged = (i: number) => i > 0 && files[i]!.use === 'average'
  tell('joining lines', READ)
  const joined = joinLines(
    drafts.filter((_, i) => !averaged(i)),
    lines,
  )
  const others = drafts.filter((_, i) => averaged(i)).map((draft) => joinLines([draft]).draft)
  if (others.length > 0) tell('averaging logs', AVERAGE)
  const draft = others.length > 0 ? averageLogs([joined.draft, ...others]) : joined.draft
  tell('smoothing the road', others.length > 0 ? SMOOTH_AVERAGED : AVERAGE)
  const route = buildRoute(draft)
  return { route: { ...route, losses: { ...route.losses, ...remarks(joined.draft, route) } }, lines: joined.lines }
}

/** A drawn line with steps longer than this says nothing of the road between. */
const WIDE_STEP: Metres = 1000

/** What a crew should know of a road that nothing was lost of. */
function remarks(draft: RouteDraft, route: Route): Record<string, number> {
  const out: Record<string, number> = {}
  const { again, back } = drivenTwice(route)
  if (again > 0) out['metres of road driven a second time: choose start and finish'] = Math.round(again)
  if (back > 0) out['metres of road driven back the way it came: choose start and finish'] = Math.round(back)
  let wide = 0
  for (let i = 1; i < draft.northing.length; i++)
    if (distance(inSpace(draft, i - 1), inSpace(draft, i)) > WIDE_STEP) wide++
  if (wide > 0) out['steps of more than 1 km from point to point, drawn straight'] = wide
  return out
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
