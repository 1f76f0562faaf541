import type { RouteDraft } from '../server/route/route.ts'
import type { Log } from './syntheticRoad.ts'

/** A log as an importer would hand it on, on a plane. */
export function draftOf(log: Log, timed = true): RouteDraft {
  return {
    name: 'made-up road',
    format: 'csv',
    frame: 'planar',
    northing: log.y,
    easting: log.x,
    height: log.x.map(() => null),
    time: timed ? log.t : log.x.map(() => null),
    breaks: [],
    losses: {},
  }
}
