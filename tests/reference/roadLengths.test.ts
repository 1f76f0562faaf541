import { existsSync, readFileSync } from 'node:fs'
import geodesic from 'geographiclib-geodesic'
import { describe, expect, it } from 'vitest'
import { assembleRoad } from '../../server/route/assembleRoad.ts'
import { importRoute } from '../../server/route/importRoute.ts'
import type { RouteDraft } from '../../server/route/route.ts'
import { sharedPath } from '../sharedData.ts'

const DATA = sharedPath('data')
const read = (file: string) => readFileSync(`${DATA}/${file}`)
const wgs84 = geodesic.Geodesic.WGS84

/** Point to point on the ellipsoid, metres (Karney 2013, geographiclib-geodesic). */
function geodesicLength({ northing, easting }: RouteDraft): number {
  let length = 0
  for (let i = 1; i < northing.length; i++)
    length += (wgs84.Inverse(northing[i - 1]!, easting[i - 1]!, northing[i]!, easting[i]!) as { s12: number }).s12
  return length
}
const roadOf = (name: string, bytes: Uint8Array) => assembleRoad([{ name, bytes }], null).route
const sharpest = (curvature: Float64Array) => curvature.reduce((most, k) => Math.max(most, Math.abs(k)), 0)

// Skipped where the open data does not stand beside the checkout.
describe.skipIf(!existsSync(DATA))('lengths of real tracks', () => {
  // Totals of the files' own upstream test (tkrajina/gpxgo and its data's INDEX.md): WGS 84, point to point.
  it.each([
    ['gpx_roads/slovenia_broken1.gpx', 27060.58161970506],
    ['gpx_roads/slovenia_broken2.gpx', 33440.56224468814],
    ['gpx_roads/slovenia_broken5.gpx', 19086.30608247253],
    ['gpx_roads/slovenia_riderx3.gpx', 5774.703],
  ])('%s is read with every point: %f m on the ellipsoid, as published', (file, published) => {
    const draft = importRoute(read(file), file)
    expect(Math.abs(geodesicLength(draft) / published - 1)).toBeLessThan(1e-4)
  })

  // A curve through drawn points is longer than their chords, by less than a hundredth on roads like these.
  it.each([
    'gpx_roads/Transfagarasan.gpx',
    'gpx_roads/stelvio_top.gpx',
    'osm/andorra_CS340_coll_d_ordino_line.geojson',
  ])('%s as a road is as long as its geodesics, and up to 1 %% longer', (file) => {
    const chords = geodesicLength(importRoute(read(file), file))
    const road = roadOf(file, read(file)).length
    expect(road / chords).toBeGreaterThan(0.999)
    expect(road / chords).toBeLessThan(1.01)
  })

  it('gives the ways of a mapped pass the length of the line they were chained to', () => {
    const ways = roadOf('ways.geojson', read('osm/andorra_CS310_beixalis_ways.geojson')).length
    const line = roadOf('line.geojson', read('osm/andorra_CS310_beixalis_line.geojson')).length
    expect(Math.abs(ways - line)).toBeLessThan(1)
  })
})

/** Rows of a data set's own table, `#` lines left out. */
const rowsOf = (file: string, separator: string) =>
  read(file)
    .toString('utf8')
    .split('\n')
    .filter((line) => line.trim() !== '' && !line.startsWith('#'))
    .map((line) => line.split(separator).map(Number))

describe.skipIf(!existsSync(DATA))('circuits against what their data sets state', () => {
  // Graph-based local trajectory planner: s, x, y and curvature of its race line, reference point + alpha · normal.
  it.each(['berlin', 'modena', 'zalazone'])('the race line of %s: length and least radius', (name) => {
    const rows = rowsOf(`circuits/traj_ltpl_cl_${name}.csv`, ';')
    const line = rows.map((row) => `${row[0]! + row[6]! * row[4]!},${row[1]! + row[6]! * row[5]!}`)
    const road = roadOf(`${name}.csv`, new TextEncoder().encode(`x,y\n${line.join('\n')}\n`))
    expect(Math.abs(road.length / rows.at(-1)![7]! - 1)).toBeLessThan(0.005)
    const stated = Math.max(...rows.map((row) => Math.abs(row[9]!)))
    expect(Math.abs(sharpest(road.curvature) / stated - 1)).toBeLessThan(0.1)
  })

  it('the 1:10 race line of Spielberg, drawn ten times as large', () => {
    const rows = rowsOf('circuits/Spielberg_1to10_raceline_speed.csv', ';')
    const line = rows.map((row) => `${10 * row[1]!},${10 * row[2]!}`)
    const road = roadOf('spielberg.csv', new TextEncoder().encode(`x,y\n${line.join('\n')}\n`))
    expect(Math.abs(road.length / (10 * rows.at(-1)![0]!) - 1)).toBeLessThan(0.002)
    const stated = Math.max(...rows.map((row) => Math.abs(row[4]!))) / 10
    expect(Math.abs(sharpest(road.curvature) / stated - 1)).toBeLessThan(0.1)
  })

  // Closed lengths of INDEX.md, point to point and back to the first; a road ends at the last point.
  it.each([
    ['Spielberg_centerline', 4315.4],
    ['Spa_centerline', 7000.1],
    ['Nuerburgring_centerline', 5144.1],
    ['Norisring_centerline', 2295.8],
  ])('the centre line of %s is %f m round', (name, round) => {
    const rows = rowsOf(`circuits/${name}.csv`, ',')
    const [first, last] = [rows[0]!, rows.at(-1)!]
    const road = roadOf(`${name}.csv`, read(`circuits/${name}.csv`))
    const closing = Math.hypot(first[0]! - last[0]!, first[1]! - last[1]!)
    expect(road.closed).toBe(true)
    expect(Math.abs((road.length + closing) / round - 1)).toBeLessThan(0.001)
  })
})
