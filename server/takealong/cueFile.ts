import { planDocument } from '../rehearsal/planDocument.ts'
import type { Rehearsal } from '../rehearsal/stage.ts'
import { writeSrt, writeVtt } from '../speech/cues.ts'
import type { Seconds } from '../units.ts'
import { callPoints } from './callPoints.ts'
import { COLUMNS, type PlanRow, planRows } from './planTable.ts'
import { runCues } from './runCues.ts'

export type CueFormat = 'vtt' | 'srt' | 'csv' | 'json' | 'gpx'
export const CUE_FORMATS: readonly CueFormat[] = ['vtt', 'srt', 'csv', 'json', 'gpx']

/** Type of each file on the wire. */
export const CUE_TYPES: Readonly<Record<CueFormat, string>> = {
  vtt: 'text/vtt; charset=utf-8',
  srt: 'application/x-subrip; charset=utf-8',
  csv: 'text/csv; charset=utf-8; header=present',
  json: 'application/json; charset=utf-8',
  gpx: 'application/gpx+xml; charset=utf-8',
}

/**
 * The calls of a run as a file. Captions are `offset` seconds later than the stage clock (where the car leaves in an on-board video) and leave out, counted in
 * `dropped`, what would end before the video begins; tables keep the stage clock. GPX of a drawn road throws NoPlace.
 */
export function cueFile(
  rehearsal: Rehearsal,
  format: CueFormat,
  offset: Seconds = 0,
): { text: string; dropped: number } {
  if (format === 'csv') return { text: planCsv(planRows(rehearsal)), dropped: 0 }
  if (format === 'json') return { text: `${JSON.stringify(planJson(rehearsal), null, 1)}\n`, dropped: 0 }
  if (format === 'gpx') return { text: callPoints(rehearsal), dropped: 0 }
  const spans = rehearsal.plan.calls.map((call) => ({ from: call.start, to: call.end }))
  const { cues, dropped } = runCues(rehearsal, spans, offset)
  return { text: format === 'vtt' ? writeVtt(cues) : writeSrt(cues), dropped }
}

/** Rows as CSV by RFC 4180 (from memory): a heading line with units, CRLF, quotes doubled; an empty field for what is not known. */
export function planCsv(rows: readonly PlanRow[]): string {
  const lines = rows.map((row) => COLUMNS.map(({ key, words }) => field(row[key], words)).join(','))
  return `${[COLUMNS.map(({ head }) => head).join(','), ...lines].join('\r\n')}\r\n`
}

const field = (value: string | number | null, words = false) =>
  value === null ? '' : words ? `"${String(value).replace(/"/g, '""')}"` : String(value)

/** The plan document with its units beside it, and the same rows as the CSV. */
export function planJson(rehearsal: Rehearsal) {
  return {
    format: 'say-when plan 1',
    units: { time: 's', length: 'm', speed: 'm/s', place: 'degrees, WGS 84', rate: 'words a minute' },
    rows: planRows(rehearsal),
    plan: planDocument(rehearsal),
  }
}
