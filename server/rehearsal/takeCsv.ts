import type { TakeScore } from './scoreTake.ts'

const HEAD = [
  'take',
  'started',
  'average km/h',
  'call',
  'words',
  'station m',
  'verdict',
  'start s',
  'end s',
  'start − preferred s',
  'words out',
  'read again',
  'begun again',
  'confidence',
  'syllables',
]

/** Takes as comma-separated values (RFC 4180: CRLF, quotes doubled), one row a call. Cells that a spreadsheet would run as a formula are led by an apostrophe. */
export function takeCsv(
  takes: readonly {
    readonly id: string
    readonly startedAt: number
    readonly averageSpeed: number
    readonly score: TakeScore
  }[],
): string {
  const rows = takes.flatMap(({ id, startedAt, averageSpeed, score }) =>
    score.calls.map((call) => [
      id,
      new Date(startedAt * 1000).toISOString(),
      (averageSpeed * 3.6).toFixed(1),
      String(call.index + 1),
      call.say,
      call.station.toFixed(1),
      call.verdict,
      seconds(call.start),
      seconds(call.end),
      seconds(call.off),
      call.wordsOut ?? '',
      String(call.again),
      call.corrected ? 'yes' : '',
      call.confidence?.toFixed(3) ?? '',
      String(call.syllables),
    ]),
  )
  return [HEAD, ...rows].map((row) => `${row.map(cell).join(',')}\r\n`).join('')
}

const seconds = (value: number | null) => (value === null ? '' : value.toFixed(3))

function cell(text: string): string {
  const safe = /^[=+@\t\r]|^-[^\d.]/.test(text) ? `'${text}` : text
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe
}
