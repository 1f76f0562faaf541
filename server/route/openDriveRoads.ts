import type { Metres, Radians } from '../units.ts'
import type { Cubic } from './designedCurve.ts'
import { numberOrNull } from './draftPoints.ts'
import { readXml } from './readXml.ts'

export interface Geometry {
  readonly s: Metres
  readonly x: Metres
  readonly y: Metres
  readonly heading: Radians
  readonly length: Metres
  shape: string
  attributes: Readonly<Record<string, string>>
}

/** A cubic over the distance from its own start, along the road. */
export interface AlongCubic {
  readonly s: Metres
  readonly cubic: Cubic
}

export interface Link {
  readonly kind: 'road' | 'junction'
  readonly id: string
  /** The end of the other road that is met; null where the file does not say. */
  readonly contact: 'start' | 'end' | null
}

export interface DesignedRoad {
  readonly id: string
  readonly name: string
  /** Junction the road lies in; null for a road between junctions. */
  readonly junction: string | null
  readonly geometries: Geometry[]
  readonly elevations: AlongCubic[]
  readonly banks: AlongCubic[]
  next: Link | null
  previous: Link | null
}

/** A way through a junction: from a road onto another, or, in a direct junction, straight onto it. */
export interface Connection {
  readonly junction: string
  readonly incoming: string
  readonly onto: string
  readonly contact: 'start' | 'end'
}

/** Roads and connections of an OpenDRIVE file (ASAM 1.4–1.8) as they stand in it; `broken` says where a file was cut short. */
export function readOpenDrive(bytes: Uint8Array, name: string) {
  const roads: DesignedRoad[] = []
  const connections: Connection[] = []
  let isDrive = false
  let junction = ''
  const number = (text: string | undefined) => numberOrNull(text) ?? 0
  const along = (attributes: Readonly<Record<string, string>>): AlongCubic => ({
    s: number(attributes.s),
    cubic: cubicOf(attributes, ''),
  })
  const broken = readXml(bytes, name, {
    open: (element, attributes, path) => {
      const road = roads.at(-1)
      const inside = path.at(-2)
      if (element === 'OpenDRIVE') isDrive = true
      else if (element === 'junction' && path.length === 2) junction = attributes.id ?? ''
      else if (element === 'connection' && inside === 'junction') {
        connections.push({
          junction,
          incoming: attributes.incomingRoad ?? '',
          onto: attributes.connectingRoad ?? attributes.linkedRoad ?? '',
          contact: attributes.contactPoint === 'end' ? 'end' : 'start',
        })
      } else if (element === 'road' && path.length === 2) {
        const of = attributes.junction ?? '-1'
        roads.push({
          id: attributes.id ?? '',
          name: attributes.name ?? '',
          junction: of === '-1' || of === '' ? null : of,
          geometries: [],
          elevations: [],
          banks: [],
          next: null,
          previous: null,
        })
      } else if (!road || path[1] !== 'road') return
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
      else if (inside === 'geometry') {
        if (element !== 'userData') Object.assign(road.geometries.at(-1)!, { shape: element, attributes })
      } else if (element === 'elevation' && inside === 'elevationProfile') road.elevations.push(along(attributes))
      else if (element === 'superelevation' && inside === 'lateralProfile') road.banks.push(along(attributes))
      else if (inside === 'link' && path.length === 4) {
        if (element === 'successor') road.next = linkOf(attributes)
        if (element === 'predecessor') road.previous = linkOf(attributes)
      }
    },
  })
  return { roads, connections, broken, isDrive }
}

function linkOf(attributes: Readonly<Record<string, string>>): Link {
  const { contactPoint } = attributes
  return {
    kind: attributes.elementType === 'junction' ? 'junction' : 'road',
    id: attributes.elementId ?? '',
    contact: contactPoint === 'start' || contactPoint === 'end' ? contactPoint : null,
  }
}

export const cubicOf = (attributes: Readonly<Record<string, string>>, end: string): Cubic => [
  numberOrNull(attributes[`a${end}`]) ?? 0,
  numberOrNull(attributes[`b${end}`]) ?? 0,
  numberOrNull(attributes[`c${end}`]) ?? 0,
  numberOrNull(attributes[`d${end}`]) ?? 0,
]
