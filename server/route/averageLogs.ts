import { type NaturalSpline, naturalSpline, splineAt } from '../numeric/naturalSpline.ts'
import type { Metres } from '../units.ts'
import { type AlignedLog, findWander, noWander } from './alignedLog.ts'
import { alignLines, stationOnto } from './alignLines.ts'
import { cleanFixes } from './cleanFixes.ts'
import { fitDrawn, fitTimed } from './fitLine.ts'
import type { Fixes } from './fixes.ts'
import { fromPlane, type PlaneOrigin } from './localPlane.ts'
import { type MeanLog, meanLog } from './meanLog.ts'
import { isSparse, planarFixes } from './planarFixes.ts'
import { fixStations, type RibbonLine, ribbon } from './ribbon.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/** Fewer usable points than this make no line to average. */
const FEWEST = 12
/** A log must share this much of its length, or of the road it is laid on, to be of the same road. */
const SHARED = 0.5
const ROUNDS = 2
/** No log is trusted to be better than this. */
const LEAST_NOISE: Metres = 0.1

/**
 * Several logs of one road as one better log. Each is fitted by itself and laid along the one of median length (alignLines); turned round where it was driven the
 * other way. The slow wander of each receiver against the common road is then found as a random walk seen across the road and taken out but for the
 * wanders' mean (weights 1/σ²), and what is left is averaged, cell by cell, about the common road on the logs' mean clock; twice over.
 * The draft has the frame and the direction of the first, heights levelled against each other, and a clock where any log has one. Losses of all logs are summed, and what was done is said.
 * Throws RouteFileError for fewer than two logs, designed roads, mixed frames, or a log of another road.
 */
export function averageLogs(drafts: readonly RouteDraft[]): RouteDraft {
  const losses: Record<string, number> = {}
  const lose = (reason: string, count: number) => {
    if (count > 0) losses[reason] = (losses[reason] ?? 0) + count
  }
  if (drafts.length < 2)
    throw new RouteFileError(`Averaging needs two logs of one road at least; ${drafts.length} given.`)
  const odd = drafts.find((one) => one.exact || one.frame !== drafts[0]!.frame)
  if (odd)
    throw new RouteFileError(
      odd.exact
        ? `"${titleOf(odd)}" is a designed road, exact already; average only logs.`
        : `"${titleOf(odd)}" is in ${odd.frame === 'planar' ? 'metres' : 'degrees'}, the first log is not; give all in the same.`,
    )
  for (const one of drafts) for (const [reason, count] of Object.entries(one.losses)) lose(reason, count)
  const about = planarFixes(drafts[0]!).origin
  const fitted = drafts.map((draft) => fittedLog(draft, about, lose))
  const byLength = [...fitted].sort((a, b) => a.road.length - b.road.length)
  const base = byLength[(byLength.length - 1) >> 1]!
  let road = base.road
  const logs = fitted.map((one) => (one === base ? alignedBase(one) : aligned(one, base)))
  const { turned } = logs[0]!
  let mean: MeanLog | null = null
  for (let round = 0; round < ROUNDS; round++) {
    for (const log of logs) findWander(log, road)
    mean = meanLog(logs, road)
    const line = mean.fixes.t !== null ? fitTimed(mean.fixes) : fitDrawn(mean.fixes)
    road = ribbon(line.x, line.y)
    const moved = naturalSpline(mean.station, fixStations(line.fixNodes, road.nodeStations))
    for (const log of logs) moveInPlace(log, moved)
  }
  const away = logs.reduce((sum, log) => sum + log.station.filter(Number.isNaN).length, 0)
  lose('points away from the road the logs share, left out', away)
  lose('logs driven the other way, turned round', logs.filter((log) => log.turned !== turned).length)
  lose('logs averaged into one', drafts.length)
  return draftOf(drafts[0]!, turned ? backward(mean!.fixes) : mean!.fixes, about, losses)
}

const titleOf = (draft: RouteDraft) => draft.file ?? draft.name

interface FittedLog {
  readonly name: string
  readonly fixes: Fixes
  readonly noise: Metres
  readonly road: RibbonLine
  readonly station: Float64Array
}

function fittedLog(
  draft: RouteDraft,
  about: PlaneOrigin | null,
  lose: (reason: string, count: number) => void,
): FittedLog {
  const raw = planarFixes(draft, about ?? undefined).fixes
  const sparse = isSparse(raw)
  const fixes = cleanFixes(sparse ? { ...raw, t: null } : raw, lose)
  if (fixes.x.length < FEWEST)
    throw new RouteFileError(`"${titleOf(draft)}" has ${fixes.x.length} usable points; averaging needs ${FEWEST}.`)
  const line = fixes.t !== null ? fitTimed(fixes) : fitDrawn(fixes)
  const road = ribbon(line.x, line.y)
  return {
    name: titleOf(draft),
    fixes,
    noise: Math.max(LEAST_NOISE, line.noise),
    road,
    station: fixStations(line.fixNodes, road.nodeStations),
  }
}

function alignedBase(log: FittedLog): AlignedLog {
  return { fixes: log.fixes, turned: false, noise: log.noise, station: log.station, wander: noWander() }
}

function aligned(log: FittedLog, base: FittedLog): AlignedLog {
  const there = alignLines(log.road, base.road)
  const back = reversed(log)
  const thereBack = alignLines(back.road, base.road)
  const turned = thereBack.score > there.score
  const used = turned ? back : log
  const pairs = turned ? thereBack : there
  const shared = (pairs.from.at(-1) ?? 0) - (pairs.from[0] ?? 0)
  if (!(shared > SHARED * Math.min(log.road.length, base.road.length)))
    throw new RouteFileError(
      `"${log.name}" runs along "${base.name}" for ${(shared / 1000).toFixed(1)} km of ${(log.road.length / 1000).toFixed(1)} km; average logs of one road only.`,
    )
  const cell = { value: 0 }
  const station = used.station.map((s) => stationOnto(pairs, s, cell))
  return { fixes: used.fixes, turned, noise: log.noise, station, wander: noWander() }
}

/** The log driven the other way, as far as alignLines looks at it. */
function reversed(log: FittedLog): FittedLog {
  return {
    ...log,
    fixes: backward(log.fixes),
    road: { ...log.road, x: log.road.x.toReversed(), y: log.road.y.toReversed() },
    station: log.station.map((s) => log.road.length - s).toReversed(),
  }
}

/** Fixes from the last to the first, their clock run from the finish. */
function backward({ x, y, z, t }: Fixes): Fixes {
  const end = t?.at(-1) ?? 0
  return {
    x: x.toReversed(),
    y: y.toReversed(),
    z: z.toReversed(),
    t: t === null ? null : t.map((one) => end - one).reverse(),
  }
}

/** Stations of the last common road brought over to the next. */
function moveInPlace(log: AlignedLog, moved: NaturalSpline): void {
  const { knots, values } = moved
  const last = knots.length - 1
  let cell = 0
  for (let i = 0; i < log.station.length; i++) {
    const s = log.station[i]!
    if (Number.isNaN(s)) continue
    while (cell < last - 1 && knots[cell + 1]! < s) cell++
    log.station[i] =
      s <= knots[0]!
        ? values[0]! + s - knots[0]!
        : s >= knots[last]!
          ? values[last]! + s - knots[last]!
          : splineAt(moved, cell, s).value
  }
}

function draftOf(
  first: RouteDraft,
  fixes: Fixes,
  about: PlaneOrigin | null,
  losses: Record<string, number>,
): RouteDraft {
  const begun = first.time.find((time) => time !== null) ?? 0
  const northing: number[] = []
  const easting: number[] = []
  for (let i = 0; i < fixes.x.length; i++) {
    const place = about === null ? null : fromPlane(about, fixes.x[i]!, fixes.y[i]!)
    northing.push(place === null ? fixes.y[i]! : place.latitude)
    easting.push(place === null ? fixes.x[i]! : place.longitude)
  }
  return {
    name: first.name,
    ...(first.file ? { file: first.file } : {}),
    format: first.format,
    frame: first.frame,
    northing,
    easting,
    height: fixes.z,
    time: fixes.t === null ? fixes.x.map(() => null) : fixes.t.map((t) => begun + t - fixes.t![0]!),
    breaks: [],
    losses,
  }
}
