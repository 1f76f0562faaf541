import { DraftPoints, numberOrNull, timeOrNull, whyEmpty } from './draftPoints.ts'
import { readXml } from './readXml.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/**
 * KML 2.2 (OGC 07-147r2) with gx:Track: line strings and tracks, each a piece of its own; polygons and single points are no road and are counted.
 * `when` and `coord` may stand in any order within a track; they belong together by number. Throws RouteFileError when no line is left.
 */
export function importKml(bytes: Uint8Array, name: string): RouteDraft {
  const points = new DraftPoints()
  let title: string | null = null
  let placeName = ''
  let isKml = false
  let whens: string[] = []
  let coords: string[] = []
  const broken = readXml(bytes, name, {
    open: (element) => {
      if (element === 'kml') isKml = true
      if (element === 'Placemark') placeName = ''
      if (element === 'Track') {
        whens = []
        coords = []
      }
    },
    close: (element, text, path) => {
      const inside = path.at(-2)
      if (element === 'name' && inside === 'Placemark') {
        title ??= text.trim()
        placeName = text.trim()
      } else if (element === 'coordinates') {
        if (inside === 'LineString') addLine(points, text, placeName)
        else points.lose(inside === 'Point' ? 'single points left out' : 'areas left out')
      } else if (inside === 'Track' && element === 'when') whens.push(text)
      else if (inside === 'Track' && element === 'coord') coords.push(text)
      else if (element === 'Track') addTrack(points, whens, coords, placeName)
    },
  })
  if (broken !== null && points.length > 0) points.lose(`file cut short: ${broken}`)
  if (points.length >= 2) return points.draft({ name: title ?? name, format: 'kml' })
  if (broken !== null) throw new RouteFileError(`"${name}" cannot be read: ${broken}; export it again.`)
  if (!isKml) throw new RouteFileError(`"${name}" is XML but no KML file; it has no <kml> element.`)
  throw new RouteFileError(
    `"${name}" holds no road: ${whyEmpty(points, 'it has no line or track in it')}. Draw the road as a path and export that.`,
  )
}

function addLine(points: DraftPoints, text: string, name: string): void {
  points.breakHere(name)
  for (const tuple of text.trim().split(/\s+/)) {
    if (tuple === '') continue
    const [longitude, latitude, height] = tuple.split(',')
    addPoint(points, latitude, longitude, height, undefined)
  }
}

function addTrack(points: DraftPoints, whens: readonly string[], coords: readonly string[], name: string): void {
  points.breakHere(name)
  coords.forEach((coord, i) => {
    const [longitude, latitude, height] = coord.trim().split(/\s+/)
    addPoint(points, latitude, longitude, height, whens[i])
  })
  points.lose('times without a place', Math.max(0, whens.length - coords.length))
}

function addPoint(
  points: DraftPoints,
  latitude: string | undefined,
  longitude: string | undefined,
  height: string | undefined,
  time: string | undefined,
): void {
  points.geographic(
    numberOrNull(latitude) ?? Number.NaN,
    numberOrNull(longitude) ?? Number.NaN,
    numberOrNull(height),
    timeOrNull(time),
  )
}
