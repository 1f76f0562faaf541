import geodesic from 'geographiclib-geodesic'
import type { Metres } from '../../server/units.ts'
import { seededNormal } from '../../tests/seededRandom.ts'
import type { TrueRoad } from './truth.ts'

/** Where the invented island lies: open ocean, so that no real road is meant. Degrees. */
export const ISLAND = { latitude: 61.2, longitude: -21.4 }

/** Recce pace: v = min(15 m/s, √(2.5·R)), one fix a second (as every made log here). */
const RECCE_SPEED = 15
const LATERAL = 2.5
/** White noise of one fix, a slowly wandering bias (memory 0.99 a fix) and the same for heights: metres, one σ. From memory, as telephones log. */
const WHITE: Metres = 0.3
const BIAS: Metres = 1.5
const HEIGHT_WHITE: Metres = 0.1
const HEIGHT_DRIFT: Metres = 0.6
const MEMORY = 0.99

/** A GPX 1.1 log of a drive along the road, one fix a second, with a receiver's noise. `random` in [0, 1). */
export function recceLog(road: TrueRoad, name: string, startedAt: Date, random: () => number): string {
  const normal = () => seededNormal(random)
  const points: string[] = []
  const drift = [BIAS * normal(), BIAS * normal(), HEIGHT_DRIFT * normal()]
  const step = Math.sqrt(1 - MEMORY ** 2)
  let travelled = 0
  for (let second = 0; travelled <= road.length; second++) {
    const i = Math.min(road.x.length - 1, Math.round(travelled / road.step))
    const x = road.x[i]! + drift[0]! + WHITE * normal()
    const y = road.y[i]! + drift[1]! + WHITE * normal()
    const z = road.z[i]! + drift[2]! + HEIGHT_WHITE * normal()
    // x east, y north: azimuth clockwise from north.
    const azimuth = (Math.atan2(x, y) * 180) / Math.PI
    const { lat2, lon2 } = geodesic.Geodesic.WGS84.Direct(ISLAND.latitude, ISLAND.longitude, azimuth, Math.hypot(x, y))
    const time = new Date(startedAt.getTime() + second * 1000).toISOString()
    points.push(
      `<trkpt lat="${lat2!.toFixed(7)}" lon="${lon2!.toFixed(7)}"><ele>${z.toFixed(2)}</ele><time>${time}</time></trkpt>`,
    )
    const bend = Math.abs(road.curvature[Math.min(i, road.curvature.length - 1)]!)
    travelled += Math.min(RECCE_SPEED, Math.sqrt(LATERAL / Math.max(bend, 1e-4)))
    drift[0] = MEMORY * drift[0]! + BIAS * step * normal()
    drift[1] = MEMORY * drift[1]! + BIAS * step * normal()
    drift[2] = MEMORY * drift[2]! + HEIGHT_DRIFT * step * normal()
  }
  return `<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="Say When demo" xmlns="http://www.topografix.com/GPX/1/1">
<trk><name>${name}</name><trkseg>
${points.join('\n')}
</trkseg></trk>
</gpx>
`
}
