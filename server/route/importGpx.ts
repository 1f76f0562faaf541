import { DraftPoints, numberOrNull, timeOrNull, whyEmpty } from './draftPoints.ts'
import { readXml } from './readXml.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/**
 * GPX 1.0 and 1.1 (topografix schema): tracks with all their segments, or, where there is none, routes. Points without a position are counted;
 * waypoints alone are no road. A file cut short is read to the cut. Throws RouteFileError when nothing is left to drive on.
 */
export function importGpx(bytes: Uint8Array, name: string): RouteDraft {
  const track = new DraftPoints()
  const route = new DraftPoints()
  let latitude = Number.NaN
  let longitude = Number.NaN
  let height: number | null = null
  let time: string | undefined
  let waypoints = 0
  let title: string | null = null
  let trackName = ''
  let isGpx = false
  const broken = readXml(bytes, name, {
    open: (element, attributes) => {
      if (element === 'gpx') isGpx = true
      if (element === 'trk') trackName = ''
      if (element === 'trkseg' || element === 'trk') track.breakHere(trackName)
      if (element === 'rte') route.breakHere()
      if (element === 'trkpt' || element === 'rtept') {
        latitude = numberOrNull(attributes.lat) ?? Number.NaN
        longitude = numberOrNull(attributes.lon) ?? Number.NaN
        height = null
        time = undefined
      }
    },
    close: (element, text, path) => {
      const inside = path.at(-2)
      if (inside === 'trkpt' || inside === 'rtept') {
        if (element === 'ele') height = numberOrNull(text)
        if (element === 'time') time = text
      } else if (element === 'trkpt') track.geographic(latitude, longitude, height, timeOrNull(time))
      else if (element === 'rtept') route.geographic(latitude, longitude, height, timeOrNull(time))
      else if (element === 'wpt') waypoints++
      else if (element === 'name' && (inside === 'trk' || inside === 'rte')) {
        title ??= text.trim()
        trackName = text.trim()
        // In GPX the name stands before the points.
        ;(inside === 'trk' ? track : route).breakHere(trackName)
      }
    },
  })
  const points = track.length >= 2 || route.length < 2 ? track : route
  if (broken !== null && points.length > 0) points.lose(`file cut short: ${broken}`)
  if (points.length >= 2) {
    if (points === track) track.lose('points of planned routes left out, as there is a track', route.length)
    points.lose('waypoints left out', waypoints)
    return points.draft({ name: title ?? name, format: 'gpx' })
  }
  if (broken !== null) throw new RouteFileError(`"${name}" cannot be read: ${broken}; export it again.`)
  if (!isGpx) throw new RouteFileError(`"${name}" is XML but no GPX file; it has no <gpx> element.`)
  const nothing =
    waypoints > 0
      ? `it has ${waypoints} waypoint${waypoints === 1 ? '' : 's'} but no track`
      : 'it has no track or route points'
  const only = whyEmpty(track.length + track.lost > 0 ? track : route, nothing)
  throw new RouteFileError(`"${name}" holds no road: ${only}. Record or draw a track and export that.`)
}
