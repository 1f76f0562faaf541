import type { EpochTime } from '../units.ts'
import type { RouteDraft } from './route.ts'

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

  /** Names the piece the last point belongs to, where its name stands behind its points. */
  nameLast(name: string): void {
    if (this.names.length > 0) this.names[this.names.length - 1] = name
  }

  geographic(latitude: number, longitude: number, height: number | null, time: EpochTime | null): void {
    if (!(Math.abs(latitude) <= 90 && Math.abs(longitude) <= 180)) this.lose('points without a usable position')
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

/** ISO 8601 to seconds since 1970, or null. */
export function timeOrNull(text: string | undefined): EpochTime | null {
  if (text === undefined) return null
  const value = Date.parse(text.trim())
  return Number.isFinite(value) ? value / 1000 : null
}
