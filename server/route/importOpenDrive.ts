import {
  type Cubic,
  type CurvePoints,
  clothoidPoints,
  cubicAt,
  cubicPoints,
  paramCubicPoints,
} from './designedCurve.ts'
import { DraftPoints, numberOrNull } from './draftPoints.ts'
import { readXml } from './readXml.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

interface Geometry {
  readonly s: number
  readonly x: number
  readonly y: number
  readonly heading: number
  readonly length: number
  shape: string
  attributes: Readonly<Record<string, string>>
}

interface DesignedRoad {
  readonly id: string
  readonly inJunction: boolean
  readonly geometries: Geometry[]
  readonly elevations: { s: number; cubic: Cubic }[]
  banked: number
  next: { id: string; contact: string } | null
}

const SAMPLE = 1
/** Ends of neighbouring records farther apart than this do not meet. */
const MEET = 0.01
/** A curve may differ from its stated length by this share. */
const LENGTH_SHARE = 0.01

/**
 * OpenDRIVE 1.4–1.8 (ASAM): reference line of planView exactly (line, arc, spiral, poly3, paramPoly3), elevationProfile for heights, a point about every
 * metre. Of several roads the longest chain of successors that meet start to end is taken, the others counted. Unknown geometry is bridged straight,
 * zero-length records are left out, records out of order sorted, gaps bridged; all said. Throws RouteFileError when there is no line.
 */
export function importOpenDrive(bytes: Uint8Array, name: string): RouteDraft {
  const { roads, broken, isDrive } = readRoads(bytes, name)
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
  const chain = longestChain(usable)
  points.lose('other roads of the file left out', usable.length - chain.length)
  let end: { x: number; y: number } | null = null
  for (const road of chain) end = addRoad(points, road, end)
  if (points.length < 2)
    throw new RouteFileError(`"${name}" holds no road that can be driven: all its geometry is empty.`)
  return points.draft({ name, format: 'opendrive', frame: 'planar', exact: true })
}

function readRoads(bytes: Uint8Array, name: string) {
  const roads: DesignedRoad[] = []
  let isDrive = false
  const number = (text: string | undefined) => numberOrNull(text) ?? 0
  const broken = readXml(bytes, name, {
    open: (element, attributes, path) => {
      const road = roads.at(-1)
      if (element === 'OpenDRIVE') isDrive = true
      else if (element === 'road' && path.length === 2) {
        const junction = attributes.junction ?? '-1'
        roads.push({
          id: attributes.id ?? '',
          inJunction: junction !== '-1' && junction !== '',
          geometries: [],
          elevations: [],
          banked: 0,
          next: null,
        })
      } else if (!road) return
      else if (element === 'geometry')
        road.geometries.push({
          s: number(attributes.s),
          x: number(attributes.x),
          y: number(attributes.y),
          heading: number(attributes.hdg),
          length: number(attributes.length),
          shape: '',
          attributes: {},
        })
      else if (path.at(-2) === 'geometry') {
        const last = road.geometries.at(-1)!
        if (element !== 'userData') Object.assign(last, { shape: element, attributes })
      } else if (element === 'elevation' && path.at(-2) === 'elevationProfile')
        road.elevations.push({ s: number(attributes.s), cubic: cubic(attributes, '') })
      else if (element === 'superelevation') road.banked++
      else if (
        element === 'successor' &&
        path.at(-2) === 'link' &&
        path.length === 4 &&
        attributes.elementType === 'road'
      )
        road.next = { id: attributes.elementId ?? '', contact: attributes.contactPoint ?? 'start' }
    },
  })
  return { roads, broken, isDrive }
}

const cubic = (attributes: Readonly<Record<string, string>>, end: string): Cubic => [
  numberOrNull(attributes[`a${end}`]) ?? 0,
  numberOrNull(attributes[`b${end}`]) ?? 0,
  numberOrNull(attributes[`c${end}`]) ?? 0,
  numberOrNull(attributes[`d${end}`]) ?? 0,
]

const lengthOf = (road: DesignedRoad) => road.geometries.reduce((sum, one) => sum + Math.max(0, one.length), 0)

function longestChain(roads: readonly DesignedRoad[]): DesignedRoad[] {
  const by = new Map(roads.map((road) => [road.id, road]))
  let best: DesignedRoad[] = []
  let most = -1
  for (const first of roads) {
    const chain = [first]
    const seen = new Set(chain)
    let total = lengthOf(first)
    for (let next = first.next; next !== null && next.contact === 'start'; next = chain.at(-1)!.next) {
      const road = by.get(next.id)
      if (!road || seen.has(road)) break
      chain.push(road)
      seen.add(road)
      total += lengthOf(road)
    }
    if (total > most) {
      most = total
      best = chain
    }
  }
  return best
}

function addRoad(
  points: DraftPoints,
  road: DesignedRoad,
  before: { x: number; y: number } | null,
): { x: number; y: number } | null {
  const inOrder = [...road.geometries].sort((a, b) => a.s - b.s)
  if (inOrder.some((one, i) => one !== road.geometries[i])) points.lose('roads with geometry out of order, sorted')
  const elevations = [...road.elevations].sort((a, b) => a.s - b.s)
  points.lose('superelevation records read over: banking is not used', road.banked)
  let end = before
  for (const geometry of inOrder) {
    if (!(geometry.length > 0)) {
      points.lose('geometry records of no length')
      continue
    }
    if (end !== null && Math.hypot(end.x - geometry.x, end.y - geometry.y) > MEET)
      points.lose('gaps between geometry records, bridged')
    const parts = Math.max(1, Math.round(geometry.length / SAMPLE))
    const curve = curveOf(points, geometry, parts)
    if (curve === null) {
      end = null
      points.add(geometry.y, geometry.x, heightAt(elevations, geometry.s), null)
      continue
    }
    // The last point is the next record's first; it is added once, with the last record.
    const count = geometry === inOrder.at(-1) ? parts + 1 : parts
    for (let i = 0; i < count; i++)
      points.add(curve.y[i]!, curve.x[i]!, heightAt(elevations, geometry.s + (geometry.length * i) / parts), null)
    end = { x: curve.x[parts]!, y: curve.y[parts]! }
  }
  return end
}

function curveOf(points: DraftPoints, geometry: Geometry, parts: number): CurvePoints | null {
  const number = (key: string) => numberOrNull(geometry.attributes[key]) ?? 0
  switch (geometry.shape) {
    case 'line':
      return clothoidPoints(geometry, 0, 0, parts)
    case 'arc':
      return clothoidPoints(geometry, number('curvature'), number('curvature'), parts)
    case 'spiral':
      return clothoidPoints(geometry, number('curvStart'), number('curvEnd'), parts)
    case 'poly3':
      return cubicPoints(geometry, cubic(geometry.attributes, ''), parts)
    case 'paramPoly3': {
      const range = geometry.attributes.pRange === 'arcLength' ? geometry.length : 1
      const curve = paramCubicPoints(
        geometry,
        cubic(geometry.attributes, 'U'),
        cubic(geometry.attributes, 'V'),
        range,
        parts,
      )
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

function heightAt(elevations: readonly { s: number; cubic: Cubic }[], s: number): number | null {
  if (elevations.length === 0) return null
  let low = 0
  let high = elevations.length - 1
  while (low < high) {
    const middle = (low + high + 1) >> 1
    if (elevations[middle]!.s <= s + 1e-9) low = middle
    else high = middle - 1
  }
  return cubicAt(elevations[low]!.cubic, s - elevations[low]!.s)
}
