import {
  type Cubic,
  type CurvePoints,
  clothoidPoints,
  cubicAt,
  cubicPoints,
  paramCubicPoints,
} from './designedCurve.ts'
import { DraftPoints, numberOrNull } from './draftPoints.ts'
import { type DrivenRoad, drivesOf, type RoadEnds } from './openDriveDrives.ts'
import { type AlongCubic, cubicOf, type DesignedRoad, type Geometry, readOpenDrive } from './openDriveRoads.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/** A road's reference line, a point about every metre. */
interface SampledRoad {
  readonly x: number[]
  readonly y: number[]
  readonly z: (number | null)[]
  readonly bank: (number | null)[]
  readonly ends: RoadEnds
}

const SAMPLE = 1
/** Ends of neighbouring records farther apart than this do not meet. */
const MEET = 0.01
/** Records of a hair's breadth would set points so close that the curve through them swings. */
const CLOSE = 0.05
/** A curve may differ from its stated length by this share: rounding of the file, and no more. */
const LENGTH_SHARE = 0.0005

/**
 * OpenDRIVE 1.4–1.8 (ASAM): reference line of planView exactly (line, arc, spiral, poly3, paramPoly3), elevationProfile for heights, superelevation kept, a point
 * about every metre. Roads that follow each other by their links are one line (drivesOf), the longest first; the others stand behind it as lines to choose from.
 * Unknown geometry is bridged straight, zero-length records are left out, records out of order sorted, gaps bridged; all said. Throws RouteFileError when there
 * is no line.
 */
export function importOpenDrive(bytes: Uint8Array, name: string): RouteDraft {
  const { roads, connections, broken, isDrive } = readOpenDrive(bytes, name)
  const usable = roads.filter((road) => road.geometries.some((one) => one.length > 0))
  if (usable.length === 0) {
    if (broken !== null) throw new RouteFileError(`"${name}" cannot be read: ${broken}; export it again.`)
    throw new RouteFileError(
      isDrive
        ? `"${name}" holds no road: no planView has a geometry with a length. Export the road with its reference line.`
        : `"${name}" is XML but no OpenDRIVE file; it has no <OpenDRIVE> element.`,
    )
  }
  const points = new DraftPoints()
  if (broken !== null) points.lose(`file cut short: ${broken}`)
  const sampled = new Map(usable.map((road) => [road, sample(road, points)]))
  const bank: (number | null)[] = []
  for (const drive of drivesOf(usable, connections, (road) => sampled.get(road)!.ends)) {
    points.breakHere(nameOf(drive))
    let end: { x: number; y: number } | null = null
    for (const { road, reversed } of drive) end = addRoad(points, bank, sampled.get(road)!, reversed, end)
  }
  if (points.length < 2)
    throw new RouteFileError(`"${name}" holds no road that can be driven: all its geometry is empty.`)
  const draft = points.draft({ name, format: 'opendrive', frame: 'planar', exact: true })
  return bank.some((one) => one !== null) ? { ...draft, bank } : draft
}

function nameOf(drive: readonly DrivenRoad[]): string {
  const { id, name } = drive[0]!.road
  const more = drive.length - 1
  return `${name === '' ? `road ${id}` : name}${more > 0 ? ` and ${more} more` : ''}`
}

function addRoad(
  points: DraftPoints,
  bank: (number | null)[],
  road: SampledRoad,
  reversed: boolean,
  before: { x: number; y: number } | null,
): { x: number; y: number } {
  const last = road.x.length - 1
  const at = (k: number) => (reversed ? last - k : k)
  const gap = before === null ? 0 : Math.hypot(before.x - road.x[at(0)]!, before.y - road.y[at(0)]!)
  if (gap > MEET) points.lose('gaps between linked roads, bridged')
  // Where two roads meet, their common point is added once.
  for (let k = before === null || gap > MEET ? 0 : 1; k <= last; k++) {
    const i = at(k)
    points.add(road.y[i]!, road.x[i]!, road.z[i]!, null)
    const own = road.bank[i]!
    bank.push(own === null || !reversed ? own : -own)
  }
  return { x: road.x[at(last)]!, y: road.y[at(last)]! }
}

function sample(road: DesignedRoad, points: DraftPoints): SampledRoad {
  const inOrder = [...road.geometries].sort((a, b) => a.s - b.s)
  if (inOrder.some((one, i) => one !== road.geometries[i])) points.lose('roads with geometry out of order, sorted')
  const elevations = [...road.elevations].sort((a, b) => a.s - b.s)
  const banks = [...road.banks].sort((a, b) => a.s - b.s)
  points.lose('superelevation records, kept with the road but not used for speeds', banks.length)
  const out = { x: [] as number[], y: [] as number[], z: [] as (number | null)[], bank: [] as (number | null)[] }
  const add = (x: number, y: number, s: number, isLast = false) => {
    const close = out.x.length > 0 && Math.hypot(x - out.x.at(-1)!, y - out.y.at(-1)!) < CLOSE
    if (close && !isLast) return
    if (close) for (const column of [out.x, out.y, out.z, out.bank]) column.pop()
    out.x.push(x)
    out.y.push(y)
    out.z.push(valueAt(elevations, s))
    out.bank.push(valueAt(banks, s))
  }
  const used = inOrder.filter((one) => one.length > 0)
  points.lose('geometry records of no length', inOrder.length - used.length)
  let end: { x: number; y: number } | null = null
  let ends = 0
  for (const geometry of used) {
    if (end !== null && Math.hypot(end.x - geometry.x, end.y - geometry.y) > MEET)
      points.lose('gaps between geometry records, bridged')
    const parts = Math.max(1, Math.round(geometry.length / SAMPLE))
    const curve = curveOf(points, geometry, parts)
    if (curve === null) {
      end = null
      ends = geometry.heading
      add(geometry.x, geometry.y, geometry.s)
      continue
    }
    // The last point is the next record's first; it is added once, with the last record.
    const count = geometry === used.at(-1) ? parts + 1 : parts
    for (let i = 0; i < count; i++)
      add(curve.x[i]!, curve.y[i]!, geometry.s + (geometry.length * i) / parts, i === parts)
    end = { x: curve.x[parts]!, y: curve.y[parts]! }
    ends = Math.atan2(curve.y[parts]! - curve.y[parts - 1]!, curve.x[parts]! - curve.x[parts - 1]!)
  }
  const length = used.reduce((sum, one) => sum + one.length, 0)
  return {
    ...out,
    ends: {
      length,
      starts: { x: out.x[0]!, y: out.y[0]!, heading: used[0]!.heading },
      ends: { x: out.x.at(-1)!, y: out.y.at(-1)!, heading: ends },
    },
  }
}

/** Where a record's curve leads to, for checks of a file against itself. Throws RangeError for geometry of unknown kind. */
export function recordEnd(geometry: Geometry): { x: number; y: number } {
  const curve = curveOf(new DraftPoints(), geometry, Math.max(1, Math.round(geometry.length / SAMPLE)))
  if (curve === null) throw new RangeError(`recordEnd: geometry of unknown kind "${geometry.shape}"`)
  return { x: curve.x.at(-1)!, y: curve.y.at(-1)! }
}

function curveOf(points: DraftPoints, geometry: Geometry, parts: number): CurvePoints | null {
  const number = (key: string) => numberOrNull(geometry.attributes[key]) ?? 0
  const cubic = (end: string): Cubic => cubicOf(geometry.attributes, end)
  switch (geometry.shape) {
    case 'line':
      return clothoidPoints(geometry, 0, 0, parts)
    case 'arc':
      return clothoidPoints(geometry, number('curvature'), number('curvature'), parts)
    case 'spiral':
      return clothoidPoints(geometry, number('curvStart'), number('curvEnd'), parts)
    case 'poly3':
      return cubicPoints(geometry, cubic(''), parts)
    case 'paramPoly3': {
      const range = geometry.attributes.pRange === 'arcLength' ? geometry.length : 1
      const curve = paramCubicPoints(geometry, cubic('U'), cubic('V'), range, parts)
      let arc = 0
      for (let i = 1; i <= parts; i++) arc += Math.hypot(curve.x[i]! - curve.x[i - 1]!, curve.y[i]! - curve.y[i - 1]!)
      if (Math.abs(arc - geometry.length) > LENGTH_SHARE * geometry.length + MEET)
        points.lose('curves not as long as their record says')
      return curve
    }
    default:
      points.lose(`geometry of unknown kind "${geometry.shape.slice(0, 40) || 'none'}", bridged straight`)
      return null
  }
}

/** The cubic that holds at s, read there; null where there is none at all. */
function valueAt(cubics: readonly AlongCubic[], s: number): number | null {
  if (cubics.length === 0) return null
  let low = 0
  let high = cubics.length - 1
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if (cubics[middle]!.s <= s + 1e-9) low = middle
    else high = middle - 1
  }
  return cubicAt(cubics[low]!.cubic, s - cubics[low]!.s)
}
