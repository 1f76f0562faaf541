import type { EpochTime } from '../units.ts'
import type { RouteDraft } from './route.ts'

const NO_POSITION = 'points without a usable position'

/** Collects points of a route file, counting what cannot be used; every importer ends in `draft`. */
export class DraftPoints {
  private readonly northing: number[] = []
  private readonly easting: number[] = []
  private readonly height: (number | null)[] = []
  private readonly time: (EpochTime | null)[] = []
  private readonly breaks: number[] = []
  private readonly names: string[] = []
  private nextName = ''
  private readonly losses: Record<string, number> = {}
  private broken = false

  /** Points of the file that gave no position. */
  get lost(): number {
    return this.losses[NO_POSITION] ?? 0
  }

  get length(): number {
    return this.northing.length
  }

  /** Counts a loss under a reason in words. */
  lose(reason: string, count = 1): void {
    if (count > 0) this.losses[reason] = (this.losses[reason] ?? 0) + count
  }

  /** The next point begins a new piece, of this name where it has one. */
  breakHere(name = ''): void {
    this.broken = this.northing.length > 0
    this.nextName = name
  }

  geographic(latitude: number, longitude: number, height: number | null, time: EpochTime | null): void {
    if (!(Math.abs(latitude) <= 90 && Math.abs(longitude) <= 180)) this.lose(NO_POSITION)
    else this.add(latitude, longitude, height, time)
  }

  add(northing: number, easting: number, height: number | null, time: EpochTime | null): void {
    if (this.broken) this.breaks.push(this.northing.length)
    if (this.broken || this.names.length === 0) this.names.push(this.nextName)
    this.broken = false
    this.northing.push(northing)
    this.easting.push(easting)
    this.height.push(height)
    this.time.push(time)
  }

  draft(q: { name: string; format: RouteDraft['format']; frame?: RouteDraft['frame']; exact?: boolean }): RouteDraft {
    return {
      name: q.name,
      format: q.format,
      frame: q.frame ?? 'geographic',
      northing: this.northing,
      easting: this.easting,
      height: this.height,
      time: this.time,
      breaks: this.breaks,
      losses: this.losses,
      ...(this.names.some((one) => one !== '') ? { names: this.names } : {}),
      ...(q.exact ? { exact: true } : {}),
    }
  }
}

/** A number, or null when the text is none. */
export function numberOrNull(text: string | undefined): number | null {
  const value = text === undefined || text.trim() === '' ? Number.NaN : Number(text)
  return Number.isFinite(value) ? value : null
}

const ISO_TIME = /^(\d{4})-(\d\d)-(\d\d)[T ](\d\d):(\d\d)(?::(\d\d(?:[.,]\d+)?))?\s*(Z|[+-]\d\d(?::?\d\d)?)?$/i

/**
 * ISO 8601 to seconds since 1970, or null: also with a decimal comma, a space for the T, or a zone of hours alone, as files have them. Without a zone it is
 * UTC, which is what GPX, KML and TCX ask for: never this machine's own zone.
 */
export function timeOrNull(text: string | undefined): EpochTime | null {
  const plain = (text ?? '').trim()
  const parts = ISO_TIME.exec(plain)
  if (parts === null) {
    const value = Date.parse(plain)
    return Number.isFinite(value) ? value / 1000 : null
  }
  const [, year, month, day, hour, minute, second = '0', zone = 'Z'] = parts
  const sign = zone.startsWith('-') ? -1 : 1
  const digits = zone.replace(/\D/g, '')
  const offset = sign * (Number(digits.slice(0, 2)) * 3600 + Number(digits.slice(2, 4)) * 60)
  const whole = Date.UTC(Number(year), Number(month) - 1, Number(day), Number(hour), Number(minute)) / 1000
  return whole + Number(second.replace(',', '.')) - offset
}

/** Why a file of some points is no road: what became of its points, or else what was said of it. */
export function whyEmpty(points: DraftPoints, otherwise: string): string {
  if (points.length === 1) return 'only one of its points has a usable position'
  if (points.lost > 0) return `none of its ${points.lost} points has a usable position`
  return otherwise
}
