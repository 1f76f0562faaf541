import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { gpx, kml, tcx } from '@tmcw/togeojson'
import { DOMParser } from '@xmldom/xmldom'
import { describe, expect, it } from 'vitest'
import { importRoute } from '../../server/route/importRoute.ts'
import { sharedPath } from '../sharedData.ts'

const DATA = sharedPath('data')
const READERS = { gpx, kml, tcx } as const

interface Feature {
  readonly geometry: {
    readonly type: string
    readonly coordinates?: unknown
    readonly geometries?: readonly Feature['geometry'][]
  } | null
  readonly properties: Readonly<Record<string, unknown>> | null
}

/** Every line another reader finds in a file, as [longitude, latitude] pairs, in its order. */
function theirs(file: string): number[][] {
  const kind = file.split('.').at(-1) as keyof typeof READERS
  const text = readFileSync(`${DATA}/${file}`, 'utf8').replace(/^\ufeff/, '')
  const document = new DOMParser({ onError: () => {} }).parseFromString(text, 'text/xml')
  const features = READERS[kind](document as unknown as Document).features as unknown as readonly Feature[]
  // Of a GPX with tracks ours takes the tracks, and its planned routes only where it has none.
  const tracks = features.filter((one) => one.properties?.['_gpxType'] !== 'rte')
  const lines = (tracks.some((one) => linesOf(one.geometry).length > 0) ? tracks : features).flatMap((one) =>
    linesOf(one.geometry),
  )
  return lines.flat().map(([longitude, latitude]) => [longitude!, latitude!])
}

function linesOf(geometry: Feature['geometry']): number[][][] {
  if (geometry === null) return []
  if (geometry.type === 'LineString') return [geometry.coordinates as number[][]]
  if (geometry.type === 'MultiLineString') return geometry.coordinates as number[][][]
  return (geometry.geometries ?? []).flatMap(linesOf)
}

const files = existsSync(DATA)
  ? ['gpx_roads', 'gpx_odd', 'kml_tcx_geojson'].flatMap((folder) =>
      readdirSync(`${DATA}/${folder}`)
        .filter((name) => /\.(gpx|kml|tcx)$/.test(name))
        .map((name) => `${folder}/${name}`),
    )
  : []

/** Where the two rightly differ, and why. */
const APART: Readonly<Record<string, string>> = {
  'gpx_roads/us_car_trip_big.gpx': 'a piece of one point is no line to togeojson',
  'gpx_odd/tracks.gpx': 'a piece of one point is no line to togeojson',
  'gpx_odd/gpxfilm_bad_points.gpx': 'togeojson keeps latitudes beyond 90° and points at 0° 0°',
  'gpx_odd/cerknicko-jezero-without-elevations.gpx': 'one point of 296 without a time is let go here',
  'gpx_odd/testxmnls.gpx': 'its undeclared prefix is refused by the other reader of XML',
  'kml_tcx_geojson/kml22_order_location_and_when.kml': 'togeojson keeps empty coordinates',
  'kml_tcx_geojson/kml22_time_decreases.kml': 'togeojson keeps empty coordinates',
}

// Skipped where the open data does not stand beside the checkout.
describe.skipIf(!existsSync(DATA))('a file read by togeojson and here', () => {
  const alike = files.filter((file) => !(file in APART))
  it.each(alike)('has the same points in the same order: %s', (file) => {
    let ours: number[][] = []
    try {
      const { easting, northing } = importRoute(readFileSync(`${DATA}/${file}`), file)
      ours = easting.map((longitude, i) => [longitude, northing[i]!])
    } catch (error) {
      expect((error as Error).name).toBe('RouteFileError')
    }
    // What is refused here has no line there either, or is no XML to both.
    if (ours.length > 0) expect(theirs(file)).toEqual(ours)
    else expect(lineCount(file)).toBe(0)
  })

  it('is compared for nearly all of them', () => {
    expect(alike.length).toBeGreaterThan(70)
    expect(Object.keys(APART).filter((file) => !files.includes(file))).toEqual([])
  })
})

function lineCount(file: string): number {
  try {
    return theirs(file).length
  } catch {
    return 0
  }
}
