import type { Rehearsal } from '../rehearsal/stage.ts'
import type { Metres } from '../units.ts'
import { placeOf, planRows } from './planTable.ts'
import { CAUTION } from './runTags.ts'

/** Distance between points of the road in the file. */
const ROAD_STEP: Metres = 5
/** Namespace of what GPX has no element for. */
export const CALL_NAMESPACE = 'urn:say-when:call:1'

/** A road that is nowhere on earth cannot be written as GPX. */
export class NoPlace extends Error {
  override readonly name = 'StageProblem'
}

/**
 * GPX 1.1 (topografix schema): a waypoint a call in spoken order, named by what is said, with its times in extensions of our own, and the road as a track.
 * Elements stand in the order the schema asks for. Throws NoPlace for a road drawn from notes.
 */
export function callPoints(rehearsal: Rehearsal): string {
  const { stage } = rehearsal
  const points = planRows(rehearsal).map((row) => {
    const { latitude, longitude } = row
    const place = placeOf(rehearsal, row.station)
    if (latitude === null || longitude === null || place === null)
      throw new NoPlace(
        `"${stage.title}" has no place on earth: its road is not from a log, so no GPX of its calls can be written.`,
      )
    const { call, line, wording, station, start, end, earliest, latest, preferred, actBy, late, slack } = row
    const numbers = { call, line, station, start, end, earliest, latest, preferred, actBy, late, slack }
    const attributes = Object.entries(numbers).map(([key, value]) => `${key}="${value}"`)
    return [
      `  <wpt lat="${latitude.toFixed(7)}" lon="${longitude.toFixed(7)}">`,
      `    <ele>${place.height.toFixed(2)}</ele>`,
      `    <name>${xml(row.said)}</name>`,
      `    <cmt>${xml(row.text)}</cmt>`,
      `    <type>call</type>`,
      `    <extensions><sw:call ${attributes.join(' ')} wording="${xml(wording)}"/></extensions>`,
      `  </wpt>`,
    ].join('\n')
  })
  const road: string[] = []
  for (let station = 0; ; station = Math.min(stage.route.length, station + ROAD_STEP)) {
    const place = placeOf(rehearsal, station)!
    road.push(
      `      <trkpt lat="${place.latitude.toFixed(7)}" lon="${place.longitude.toFixed(7)}"><ele>${place.height.toFixed(2)}</ele></trkpt>`,
    )
    if (station >= stage.route.length) break
  }
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<gpx version="1.1" creator="Say When" xmlns="http://www.topografix.com/GPX/1/1" xmlns:sw="${CALL_NAMESPACE}">`,
    `  <metadata><name>${xml(stage.title)}</name><desc>${xml(CAUTION)}</desc></metadata>`,
    ...points,
    `  <trk><name>${xml(stage.title)}</name>`,
    '    <trkseg>',
    ...road,
    '    </trkseg>',
    '  </trk>',
    '</gpx>',
    '',
  ].join('\n')
}

/** Text inside XML: markup escaped, what XML 1.0 forbids left out. */
const xml = (text: string) =>
  text
    .replace(/[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g, '')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;')
    .replace(/\r/g, '&#13;')
    .replace(/\n/g, '&#10;')
    .replace(/\t/g, '&#9;')
