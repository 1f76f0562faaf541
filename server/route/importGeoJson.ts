import { DraftPoints, whyEmpty } from './draftPoints.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

const DEEPEST = 20

/**
 * GeoJSON (RFC 7946): every LineString and line of a MultiLineString, each a piece, positions [longitude, latitude, height?]. Points and polygons are counted
 * and left out. Times in `properties.coordTimes` (a custom of converters, no standard) are taken where there is one for each position.
 */
export function importGeoJson(bytes: Uint8Array, name: string): RouteDraft {
  let json: unknown
  try {
    json = JSON.parse(new TextDecoder('utf-8').decode(bytes).replace(/^\ufeff/, ''))
  } catch (error) {
    throw new RouteFileError(`"${name}" is not whole JSON (${(error as Error).message}); export it again.`)
  }
  const points = new DraftPoints()
  const titles: string[] = []
  collect(json, points, titles, { times: null, name: '' }, 0, name)
  if (points.length >= 2) return points.draft({ name: titles[0] ?? name, format: 'geojson' })
  throw new RouteFileError(
    `"${name}" holds no road: ${whyEmpty(points, 'it is JSON without a LineString')}. Export the road as a line, as GeoJSON or GPX.`,
  )
}

function collect(
  node: unknown,
  points: DraftPoints,
  titles: string[],
  about: { readonly times: unknown; readonly name: string },
  depth: number,
  file: string,
): void {
  if (depth > DEEPEST)
    throw new RouteFileError(`"${file}" nests collections more than ${DEEPEST} deep; it is no route file.`)
  if (node === null || typeof node !== 'object') return
  const one = node as Record<string, unknown>
  const list = (value: unknown): unknown[] => (Array.isArray(value) ? value : [])
  switch (one.type) {
    case 'FeatureCollection':
      for (const feature of list(one.features)) collect(feature, points, titles, about, depth + 1, file)
      return
    case 'GeometryCollection':
      for (const geometry of list(one.geometries))
        collect(geometry, points, titles, { ...about, times: null }, depth + 1, file)
      return
    case 'Feature': {
      const properties = (one.properties ?? {}) as Record<string, unknown>
      const before = points.length
      const name = typeof properties.name === 'string' ? properties.name : ''
      collect(one.geometry, points, titles, { times: properties.coordTimes ?? properties.times, name }, depth + 1, file)
      if (points.length > before && name !== '') titles.push(name)
      return
    }
    case 'LineString':
      addLine(list(one.coordinates), about.times, about.name, points)
      return
    case 'MultiLineString':
      list(one.coordinates).forEach((line, i) => {
        addLine(list(line), Array.isArray(about.times) ? about.times[i] : null, about.name, points)
      })
      return
    case 'Point':
    case 'MultiPoint':
      points.lose('single points left out')
      return
    case 'Polygon':
    case 'MultiPolygon':
      points.lose('areas left out')
  }
}

function addLine(line: readonly unknown[], times: unknown, name: string, points: DraftPoints): void {
  points.breakHere(name)
  const clock = Array.isArray(times) && times.length === line.length ? times : null
  line.forEach((position, i) => {
    const [longitude, latitude, height] = (Array.isArray(position) ? position : []) as unknown[]
    const stamp = clock === null ? Number.NaN : typeof clock[i] === 'number' ? clock[i] : Date.parse(String(clock[i]))
    points.geographic(
      typeof latitude === 'number' ? latitude : Number.NaN,
      typeof longitude === 'number' ? longitude : Number.NaN,
      typeof height === 'number' && Number.isFinite(height) ? height : null,
      Number.isFinite(stamp) ? stamp / 1000 : null,
    )
  })
}
