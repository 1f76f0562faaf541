import { deflateRawSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { importRoute } from '../../../server/route/importRoute.ts'

const bytes = (text: string) => new TextEncoder().encode(text)
const read = (text: string, name = 'a.file') => importRoute(bytes(text), name)
const kml = (inner: string) => `<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark>${inner}</Placemark></kml>`

/** A zip of one deflated entry; checksums are not looked at by the reader. */
function zipOf(name: string, content: Uint8Array): Uint8Array {
  const packed = deflateRawSync(content)
  const local = Buffer.alloc(30 + name.length)
  local.writeUInt32LE(0x04034b50, 0)
  local.writeUInt16LE(name.length, 26)
  local.write(name, 30)
  const central = Buffer.alloc(46 + name.length)
  central.writeUInt32LE(0x02014b50, 0)
  central.writeUInt16LE(8, 10)
  central.writeUInt32LE(packed.length, 20)
  central.writeUInt16LE(name.length, 28)
  central.write(name, 46)
  const end = Buffer.alloc(22)
  end.writeUInt32LE(0x06054b50, 0)
  end.writeUInt16LE(1, 10)
  end.writeUInt32LE(local.length + packed.length, 16)
  return Buffer.concat([local, packed, central, end])
}

describe('KML and KMZ', () => {
  const line = kml('<LineString><coordinates>8,47,400 8.001,47.001,401</coordinates></LineString>')
  it('reads a line as longitude, latitude, height', () => {
    const draft = read(line)
    expect([draft.northing, draft.easting, draft.height]).toEqual([
      [47, 47.001],
      [8, 8.001],
      [400, 401],
    ])
  })

  it('reads a line named as another format', () => {
    expect(read(line, 'wrong.gpx').format).toBe('kml')
  })

  it('pairs times and places of a track by number', () => {
    const when = '<when>2026-01-01T00:00:00Z</when><when>2026-01-01T00:00:05Z</when>'
    const draft = read(kml(`<gx:Track>${when}<gx:coord>8 47 1</gx:coord><gx:coord>8 48 2</gx:coord></gx:Track>`))
    expect(draft.time[1]! - draft.time[0]!).toBe(5)
  })

  it('opens the document of a KMZ', () => {
    expect(importRoute(zipOf('doc.kml', bytes(line)), 'a.kmz').northing).toHaveLength(2)
  })

  it('refuses a zip that swells', () => {
    const bomb = zipOf('doc.kml', new Uint8Array(80 * 1024 * 1024))
    expect(() => importRoute(bomb, 'bomb.kmz')).toThrow(/"bomb.kmz" unpacks to more than 64 MB/)
  })
})

describe('GPX', () => {
  it('takes the track, and tells of routes and waypoints beside it', () => {
    const points = (tag: string) => `<${tag} lat="47" lon="8"/><${tag} lat="47.001" lon="8"/>`
    const draft = read(
      `<gpx>${points('wpt')}<rte>${points('rtept')}</rte><trk><trkseg>${points('trkpt')}</trkseg></trk></gpx>`,
    )
    expect([draft.northing.length, draft.losses]).toEqual([
      2,
      { 'waypoints left out': 2, 'points of planned routes left out, as there is a track': 2 },
    ])
  })
})

describe('GeoJSON', () => {
  it('keeps lines apart and counts what is no line', () => {
    const draft = read(
      JSON.stringify({
        type: 'GeometryCollection',
        geometries: [
          { type: 'Point', coordinates: [8, 47] },
          {
            type: 'MultiLineString',
            coordinates: [
              [
                [8, 47],
                [8, 47.1],
              ],
              [
                [9, 47],
                [9, 47.1],
              ],
            ],
          },
        ],
      }),
    )
    expect([draft.breaks, draft.losses]).toEqual([[2], { 'single points left out': 1 }])
  })
})

describe('TCX', () => {
  it('counts trackpoints without a position', () => {
    const at = (n: number) =>
      `<Trackpoint><Position><LatitudeDegrees>${n}</LatitudeDegrees><LongitudeDegrees>8</LongitudeDegrees></Position></Trackpoint>`
    const draft = read(
      `<TrainingCenterDatabase><Track>${at(47)}<Trackpoint/>${at(47.1)}</Track></TrainingCenterDatabase>`,
    )
    expect([draft.northing, draft.losses]).toEqual([[47, 47.1], { 'points without a usable position': 1 }])
  })
})

describe('CSV', () => {
  it('reads decimal commas between semicolons', () => {
    expect(read('lat;lon\n47,5;8,25\n47,6;8,26\n', 'a.csv').northing).toEqual([47.5, 47.6])
  })

  it('swaps latitude and longitude that can only be the wrong way round, and says so', () => {
    const draft = read('lat,lon\n151.2,-33.8\n151.3,-33.9\n', 'a.csv')
    expect(draft.northing).toEqual([-33.8, -33.9])
    expect(draft.losses).toHaveProperty('latitude and longitude the wrong way round, swapped')
  })

  it('adds left and right to the width of the road', () => {
    expect(read('# x_m,y_m,w_tr_right_m,w_tr_left_m\n0,0,4,5\n5,0,4,5\n', 'a.csv').width).toEqual([9, 9])
  })

  it('says which columns it needs', () => {
    expect(() => read('speed,gear\n3,1\n', 'a.csv')).toThrow(/"a.csv" has no columns for a place.*lat and lon/)
  })
})

describe('OpenDRIVE', () => {
  const road = (geometry: string) =>
    `<OpenDRIVE><road id="1" junction="-1"><planView>${geometry}</planView></road></OpenDRIVE>`
  const record = (s: number, x: number, length: number, shape: string) =>
    `<geometry s="${s}" x="${x}" y="0" hdg="0" length="${length}">${shape}</geometry>`

  it('leaves out records of no length, and says so', () => {
    const draft = read(road(record(0, 0, 10, '<line/>') + record(10, 10, 0, '<line/>')))
    expect(draft.losses).toEqual({ 'geometry records of no length': 1 })
  })

  it('bridges geometry it does not know, and says so', () => {
    const draft = read(road(record(0, 0, 10, '<helix/>') + record(10, 10, 10, '<line/>')))
    expect(draft.losses).toEqual({ 'geometry of unknown kind "helix", bridged straight': 1 })
  })

  it('says where records do not meet', () => {
    const draft = read(road(record(0, 0, 10, '<line/>') + record(10, 12, 10, '<line/>')))
    expect(draft.losses).toEqual({ 'gaps between geometry records, bridged': 1 })
  })

  it('runs a paramPoly3 over 0 to 1 when normalized, over its length otherwise', () => {
    const shape = (range: string, bU: number) =>
      `<paramPoly3 pRange="${range}" aU="0" bU="${bU}" cU="0" dU="0" aV="0" bV="0" cV="0" dV="0"/>`
    expect(read(road(record(0, 0, 10, shape('normalized', 10)))).easting.at(-1)).toBeCloseTo(10, 9)
    expect(read(road(record(0, 0, 10, shape('arcLength', 1)))).easting.at(-1)).toBeCloseTo(10, 9)
  })
})
