import { DraftPoints, numberOrNull, timeOrNull, whyEmpty } from './draftPoints.ts'
import { readXml } from './readXml.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/**
 * TCX (Garmin TrainingCenterDatabase v2, from memory): trackpoints of activities and courses; each Track is a piece. A trackpoint without a position
 * (indoors, or before the first fix) is counted. Throws RouteFileError when nothing is left to drive on.
 */
export function importTcx(bytes: Uint8Array, name: string): RouteDraft {
  const points = new DraftPoints()
  let latitude = Number.NaN
  let longitude = Number.NaN
  let height: number | null = null
  let time: string | undefined
  let title: string | null = null
  let isTcx = false
  const broken = readXml(bytes, name, {
    open: (element) => {
      if (element === 'TrainingCenterDatabase') isTcx = true
      if (element === 'Track') points.breakHere()
      if (element === 'Trackpoint') {
        latitude = Number.NaN
        longitude = Number.NaN
        height = null
        time = undefined
      }
    },
    close: (element, text, path) => {
      const inside = path.at(-2)
      if (inside === 'Position' && path.at(-3) === 'Trackpoint') {
        if (element === 'LatitudeDegrees') latitude = numberOrNull(text) ?? Number.NaN
        else if (element === 'LongitudeDegrees') longitude = numberOrNull(text) ?? Number.NaN
      } else if (inside === 'Trackpoint') {
        if (element === 'AltitudeMeters') height = numberOrNull(text)
        else if (element === 'Time') time = text
      } else if (element === 'Trackpoint') points.geographic(latitude, longitude, height, timeOrNull(time))
      else if (element === 'Name' && inside === 'Course' && title === null) title = text.trim()
    },
  })
  if (broken !== null && points.length > 0) points.lose(`file cut short: ${broken}`)
  if (points.length >= 2) return points.draft({ name: title ?? name, format: 'tcx' })
  if (broken !== null) throw new RouteFileError(`"${name}" cannot be read: ${broken}; export it again.`)
  if (!isTcx) throw new RouteFileError(`"${name}" is XML but no TCX file; it has no <TrainingCenterDatabase> element.`)
  throw new RouteFileError(
    `"${name}" holds no road: ${whyEmpty(points, 'it has no trackpoints')}. Record outdoors, or export GPX.`,
  )
}
