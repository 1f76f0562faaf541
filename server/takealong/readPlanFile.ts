import { XMLParser } from 'fast-xml-parser'
import { COLUMNS, type PlanRow } from './planTable.ts'

/** A file of calls that cannot be read back: what, where, how to mend. */
export class PlanFileError extends Error {
  override readonly name = 'PlanFileError'
}

/** Rows of a CSV as planCsv writes it; columns in any order, found by their headings. Throws PlanFileError. */
export function readPlanCsv(text: string): PlanRow[] {
  const [heads, ...lines] = csvFields(text.replace(/^\ufeff/, ''))
  const at = COLUMNS.map(({ head }) => heads?.indexOf(head) ?? -1)
  const missing = COLUMNS.filter((_, c) => at[c]! < 0).map(({ head }) => `"${head}"`)
  if (missing.length > 0) throw new PlanFileError(`The table has no column ${missing.join(', ')}; export it again.`)
  return lines.map((fields, i) => rowOf((c) => fields[at[c]!] ?? '', `line ${i + 2}`))
}

/** Rows of a JSON plan file. Throws PlanFileError. */
export function readPlanJson(text: string): PlanRow[] {
  let document: unknown
  try {
    document = JSON.parse(text)
  } catch (error) {
    throw new PlanFileError(`The plan is not valid JSON: ${(error as Error).message}.`)
  }
  const { format, rows } = (document ?? {}) as { format?: unknown; rows?: unknown }
  if (format !== 'say-when plan 1' || !Array.isArray(rows))
    throw new PlanFileError('This JSON is no plan of Say When; it has no rows.')
  return rows.map((row, i) => rowOf((c) => row?.[COLUMNS[c]!.key] ?? '', `row ${i + 1}`))
}

const PARSER = new XMLParser({
  ignoreAttributes: false,
  attributeNamePrefix: '@',
  removeNSPrefix: true,
  parseTagValue: false,
  parseAttributeValue: false,
  trimValues: false,
  processEntities: true,
  htmlEntities: true,
  isArray: (name) => name === 'wpt',
})

/** Rows of a GPX of calls, from its waypoints; waypoints of others are passed over. Throws PlanFileError. */
export function readCallPoints(text: string): PlanRow[] {
  if (/<!DOCTYPE/i.test(text)) throw new PlanFileError('A GPX with a document type is not read; remove its <!DOCTYPE>.')
  let points: Record<string, unknown>[]
  try {
    points = PARSER.parse(text)?.gpx?.wpt ?? []
  } catch (error) {
    throw new PlanFileError(`The GPX cannot be read: ${(error as Error).message}.`)
  }
  return points.flatMap((point, i) => {
    const call = (point.extensions as { call?: Record<string, string> } | undefined)?.call
    if (!call) return []
    const known: Record<string, unknown> = {
      said: point.name,
      text: point.cmt,
      latitude: point['@lat'],
      longitude: point['@lon'],
    }
    return [rowOf((c) => known[COLUMNS[c]!.key] ?? call[`@${COLUMNS[c]!.key}`] ?? '', `waypoint ${i + 1}`)]
  })
}

function rowOf(value: (column: number) => unknown, where: string): PlanRow {
  const row: Record<string, unknown> = {}
  COLUMNS.forEach(({ key, head, words }, c) => {
    const raw = value(c)
    if (words) row[key] = String(raw)
    else if (raw === '' && (key === 'latitude' || key === 'longitude')) row[key] = null
    else {
      const number = Number(raw)
      if (raw === '' || !Number.isFinite(number))
        throw new PlanFileError(`"${head}" in ${where} is "${String(raw).slice(0, 40)}", not a number.`)
      row[key] = number
    }
  })
  return row as unknown as PlanRow
}

/** Fields of a CSV text (RFC 4180): quoted ones may hold commas, line ends and doubled quotes. */
function csvFields(text: string): string[][] {
  const lines: string[][] = []
  let line: string[] = []
  const token = /(?:"((?:[^"]|"")*)"|([^",\r\n]*))(,|\r\n|\n|\r|$)/y
  while (token.lastIndex < text.length) {
    const at = token.lastIndex
    const match = token.exec(text)
    if (!match) throw new PlanFileError(`The table breaks off at character ${at + 1}: a quote is not closed.`)
    line.push(match[1] === undefined ? match[2]! : match[1].replace(/""/g, '"'))
    if (match[3] === ',') {
      if (token.lastIndex === text.length) line.push('')
      else continue
    }
    lines.push(line)
    line = []
  }
  return lines
}
