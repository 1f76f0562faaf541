import { DraftPoints, numberOrNull, timeOrNull } from './draftPoints.ts'
import type { RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

/** Column names as files have them, lower case, units cut off. */
const NAMES: Readonly<Record<string, readonly string[]>> = {
  latitude: ['lat', 'latitude', 'breite', 'leveysaste'],
  longitude: ['lon', 'lng', 'long', 'longitude', 'laenge', 'pituusaste'],
  x: ['x', 'east', 'easting', 'x_ref', 'pos_x'],
  y: ['y', 'north', 'northing', 'y_ref', 'pos_y'],
  height: ['z', 'ele', 'elevation', 'alt', 'altitude', 'height', 'z_ref'],
  time: ['time', 'timestamp', 'datetime', 'date_time', 'utc'],
  width: ['width', 'w'],
  widthRight: ['w_tr_right', 'width_right'],
  widthLeft: ['w_tr_left', 'width_left'],
  rightX: ['right_bound_x'],
  rightY: ['right_bound_y'],
  rightZ: ['right_bound_z'],
  leftX: ['left_bound_x'],
  leftY: ['left_bound_y'],
  leftZ: ['left_bound_z'],
}

/**
 * CSV: comma, semicolon or tab, found by the header; decimal commas where the separator is not a comma; lines of # are comments, the last before the data
 * may be the header. Needs lat and lon, or x and y in metres, or both road edges; height, time and width where named. Latitude and longitude the wrong way
 * round are swapped when only that makes sense, and counted. Throws RouteFileError with the names found when columns are missing.
 */
export function importCsv(bytes: Uint8Array, name: string): RouteDraft {
  const lines = new TextDecoder('utf-8')
    .decode(bytes)
    .replace(/^\ufeff/, '')
    .split(/\r\n|\n|\r/)
  const first = lines.findIndex((line) => line.trim() !== '' && !line.trimStart().startsWith('#'))
  if (first < 0) throw new RouteFileError(`"${name}" has no rows; export it again.`)
  const comment = first > 0 && isNumbers(lines[first]!)
  const header = (comment ? lines[first - 1]! : lines[first]!).replace(/^\s*#\s*/, '')
  const separator = separatorOf(header)
  const cells = (line: string) => line.split(separator).map((cell) => cell.trim().replace(/^"(.*)"$/, '$1'))
  const columns = new Map<string, number>()
  const heads = cells(header)
  heads.forEach((head, i) => {
    const plain = head
      .toLowerCase()
      .replace(/\s*[[(].*[\])]$/, '')
      .replace(/_(m|deg|rad)$/, '')
      .trim()
    for (const [meaning, names] of Object.entries(NAMES))
      if (names.includes(plain) && !columns.has(meaning)) columns.set(meaning, i)
  })
  const has = (...names: string[]) => names.every((one) => columns.has(one))
  const geographic = has('latitude', 'longitude')
  const edges = has('rightX', 'rightY', 'leftX', 'leftY')
  if (!geographic && !edges && !has('x', 'y'))
    throw new RouteFileError(
      `"${name}" has no columns for a place: its first line reads "${header.slice(0, 100)}". Name them lat and lon, or x and y in metres.`,
    )
  const points = new DraftPoints()
  const rows = lines
    .slice(comment ? first : first + 1)
    .filter((line) => line.trim() !== '' && !line.trimStart().startsWith('#'))
  const table = rows.map(cells)
  const value = (row: readonly string[], column: string) => {
    const cell = columns.has(column) ? row[columns.get(column)!] : undefined
    return numberOrNull(separator === ',' ? cell : cell?.replace(',', '.'))
  }
  const swapped =
    geographic &&
    table.some((row) => Math.abs(value(row, 'latitude') ?? 0) > 90) &&
    table.every((row) => Math.abs(value(row, 'longitude') ?? 0) <= 90)
  if (swapped) points.lose('latitude and longitude the wrong way round, swapped')
  const widths: (number | null)[] = []
  for (const row of table) {
    const time = columns.has('time') ? timeOf(row[columns.get('time')!]) : null
    const before = points.length
    if (geographic) {
      const a = value(row, 'latitude') ?? Number.NaN
      const b = value(row, 'longitude') ?? Number.NaN
      points.geographic(swapped ? b : a, swapped ? a : b, value(row, 'height'), time)
    } else {
      const half = (a: number | null, b: number | null) => (a === null || b === null ? null : (a + b) / 2)
      const x = edges ? half(value(row, 'rightX'), value(row, 'leftX')) : value(row, 'x')
      const y = edges ? half(value(row, 'rightY'), value(row, 'leftY')) : value(row, 'y')
      const z = edges ? half(value(row, 'rightZ'), value(row, 'leftZ')) : value(row, 'height')
      if (x === null || y === null) points.lose('rows without a usable position')
      else points.add(y, x, z, time)
    }
    if (points.length > before) widths.push(widthOf(row, value, edges))
  }
  if (points.length < 2)
    throw new RouteFileError(
      `"${name}" holds no road: ${points.length} of its ${rows.length} rows have a usable position.`,
    )
  const draft = points.draft({ name, format: 'csv', frame: geographic ? 'geographic' : 'planar' })
  return widths.some((one) => one !== null) ? { ...draft, width: widths } : draft
}

function widthOf(
  row: readonly string[],
  value: (row: readonly string[], column: string) => number | null,
  edges: boolean,
): number | null {
  const sum = (a: number | null, b: number | null) => (a === null || b === null ? null : a + b)
  if (!edges) return value(row, 'width') ?? sum(value(row, 'widthRight'), value(row, 'widthLeft'))
  const dx = sum(value(row, 'rightX'), -(value(row, 'leftX') ?? Number.NaN))
  const dy = sum(value(row, 'rightY'), -(value(row, 'leftY') ?? Number.NaN))
  return dx === null || dy === null ? null : Math.hypot(dx, dy)
}

const isNumbers = (line: string) => /^[\s\d.,;eE+-]+$/.test(line)

function separatorOf(header: string): string {
  for (const one of [';', '\t']) if (header.includes(one)) return one
  return ','
}

/** ISO 8601, or seconds (or milliseconds, when too large for seconds of this era) as a number. */
function timeOf(text: string | undefined): number | null {
  const number = numberOrNull(text?.replace(',', '.'))
  if (number !== null) return Math.abs(number) > 1e11 ? number / 1000 : number
  return timeOrNull(text)
}
