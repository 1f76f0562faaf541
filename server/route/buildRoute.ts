import type { Metres } from '../units.ts'
import { alongRoad } from './alongRoad.ts'
import { cleanFixes } from './cleanFixes.ts'
import { findCorners, findCrests } from './findFeatures.ts'
import { fitHeights } from './fitHeights.ts'
import { type FittedLine, fitDrawn, fitTimed } from './fitLine.ts'
import type { Fixes } from './fixes.ts'
import { chordLength, isSparse, planarFixes } from './planarFixes.ts'
import { fixStations, ribbon } from './ribbon.ts'
import type { Route, RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'
import { shapeCorners } from './shapeCorners.ts'

/** A road of fewer points or metres holds no call. */
const FEWEST = 2
const SHORTEST: Metres = 10
/** Longer than any stage or day's drive: points on different continents, which would take minutes to smooth. */
const LONGEST: Metres = 2_000_000
/** Ends this near belong to a loop. */
const CLOSED: Metres = 30
const SWUNG = 1.1

/**
 * The road of a draft on 1 m stations: projected to a local plane, cleaned with every loss counted, smoothed with strengths found from the data
 * (docs/method/route.md), corners and crests found. Exact drafts (designed lines) are not smoothed. Throws RouteFileError when too little is left.
 */
export function buildRoute(draft: RouteDraft): Route {
  const losses: Record<string, number> = { ...draft.losses }
  const lose = (reason: string, count: number) => {
    if (count > 0) losses[reason] = (losses[reason] ?? 0) + count
  }
  const n = draft.northing.length
  if (n < FEWEST)
    throw new RouteFileError(
      `"${draft.file ?? draft.name}" has ${n} usable point${n === 1 ? '' : 's'}; a road needs two at least. Export the whole of it.`,
    )
  lose('separate pieces of line, joined in the order they stand', draft.breaks.length)
  const clocked = draft.time.reduce((sum: number, time) => sum + (time === null ? 0 : 1), 0)
  if (clocked < n) lose('points with a time, left unused because others have none', clocked)
  const { fixes: raw, origin } = planarFixes(draft)
  const sparse = isSparse(raw)
  const fixes = draft.exact ? { ...raw, t: null } : cleanFixes(sparse ? { ...raw, t: null } : raw, lose)
  const rough = chordLength(fixes)
  if (fixes.x.length < FEWEST || rough < SHORTEST) {
    throw new RouteFileError(
      `"${draft.file ?? draft.name}" is ${rough.toFixed(0)} m long when repeated points are left out; a road needs ${SHORTEST} m at least. Export the whole of it.`,
    )
  }
  if (rough > LONGEST) {
    throw new RouteFileError(
      `"${draft.file ?? draft.name}" is ${(rough / 1000).toFixed(0)} km long from point to point; ${widest(fixes)} Export one road of less than ${LONGEST / 1000} km.`,
    )
  }
  const timed = fixes.t !== null && fixes.x.length >= 8
  if (sparse || (fixes.t !== null && !timed)) lose('times too far apart to use; taken as a drawn line', 1)
  let line = fitted(fixes, draft.exact ?? false, timed)
  let road = ribbon(line.x, line.y)
  // A curve this much longer than its fixes has swung wide in a gap: the fixes are right, the clock is not.
  let clockKept = timed
  if (timed && road.length > SWUNG * rough + SHORTEST) {
    lose('clock that does not fit the places; taken as a drawn line', 1)
    line = fitted({ ...fixes, t: null }, false, false)
    road = ribbon(line.x, line.y)
    clockKept = false
  }
  const corners = draft.exact
    ? findCorners(road.curvature)
    : shapeCorners(line, road, clockKept ? fixes : { ...fixes, t: null })
  lose('places sharper than a car can turn, held to a radius of 4 m', road.blunted)
  const heightsAt = fixStations(line.fixNodes, road.nodeStations)
  const width = draft.width ? alongRoad(road, raw, draft.width) : null
  const bank = draft.bank ? alongRoad(road, raw, draft.bank) : null
  const { z, grade, vertical } = fitHeights(heightsAt, fixes.z, road.x.length, draft.exact ?? false)
  if (fixes.z.every((height) => height === null)) lose('no heights in the file; the road is level', 1)
  return {
    length: road.length,
    step: 1,
    closed: Math.hypot(road.x[0]! - road.x.at(-1)!, road.y[0]! - road.y.at(-1)!) < CLOSED && road.length > 10 * CLOSED,
    x: road.x,
    y: road.y,
    z,
    heading: road.heading,
    curvature: road.curvature,
    grade,
    verticalCurvature: vertical,
    ...(width ? { width } : {}),
    ...(bank ? { bank } : {}),
    features: [...corners, ...findCrests(vertical)].sort((a, b) => a.from + a.to - b.from - b.to),
    losses,
    source: clockKept ? 'measured' : 'line',
    noise: { position: draft.exact ? 0 : line.noise, curvature: clockKept ? curvatureNoise(line, rough, fixes) : null },
    origin,
  }
}

/** Where points are farthest apart: most often one of them is wrong, or there are two roads. */
function widest(fixes: Fixes): string {
  let at = 1
  let most = 0
  for (let i = 1; i < fixes.x.length; i++) {
    const step = Math.hypot(fixes.x[i]! - fixes.x[i - 1]!, fixes.y[i]! - fixes.y[i - 1]!)
    if (step > most) {
      most = step
      at = i
    }
  }
  return `its points ${at} and ${at + 1} lie ${(most / 1000).toFixed(0)} km apart.`
}

function fitted(fixes: Fixes, exact: boolean, timed: boolean): FittedLine {
  if (exact || fixes.x.length < 5)
    return {
      x: Float64Array.from(fixes.x),
      y: Float64Array.from(fixes.y),
      fixNodes: fixes.x.map((_, i) => i),
      noise: 0,
      strength: 0,
    }
  return timed ? fitTimed(fixes) : fitDrawn(fixes)
}

/**
 * What noise leaves in curvature, r.m.s. (our own estimate): the smoother passes frequencies up to about (q/(σ² dt))^(1/6); with fixes every dt seconds at speed v the
 * equivalent noise is σ√dt over a window τ = (σ² dt/q)^(1/6), so σ_κ ≈ σ √(dt/τ) / (vτ)².
 */
function curvatureNoise(line: FittedLine, length: Metres, fixes: Fixes): number | null {
  const duration = fixes.t!.at(-1)! - fixes.t![0]!
  if (!(duration > 0 && line.noise > 0)) return null
  const dt = duration / (fixes.t!.length - 1)
  const tau = ((line.noise ** 2 * dt) / line.strength) ** (1 / 6)
  return (line.noise * Math.sqrt(dt / tau)) / ((length / duration) * tau) ** 2
}
