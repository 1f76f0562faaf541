import type { EpochTime } from '../units.ts'
import { DAY, type LocalMoment } from './drill.ts'

/** A practice day turns at four in the morning: an answer at half past midnight belongs to the evening before. */
const TURNS_AT = 4

const formats = new Map<string, Intl.DateTimeFormat>()

/** Throws RangeError for a zone this machine does not know. */
function formatOf(zone: string): Intl.DateTimeFormat {
  let format = formats.get(zone)
  if (!format) {
    try {
      format = new Intl.DateTimeFormat('en-GB', {
        timeZone: zone,
        hourCycle: 'h23',
        year: 'numeric',
        month: '2-digit',
        day: '2-digit',
        hour: '2-digit',
        minute: '2-digit',
        second: '2-digit',
      })
    } catch {
      throw new RangeError(`practiceDay: no time zone "${zone}"; use a name such as "Europe/London"`)
    }
    formats.set(zone, format)
  }
  return format
}

/** Whether this machine knows a time zone by that name; machines with older tables lack the newest names. */
export function isZone(zone: string): boolean {
  try {
    formatOf(zone)
    return true
  } catch {
    return false
  }
}

/** The clock on the wall of `zone`, as if it were UTC: seconds since 1970. */
function wallClock(at: EpochTime, zone: string): number {
  const parts: Record<string, number> = {}
  for (const { type, value } of formatOf(zone).formatToParts(at * 1000)) parts[type] = Number(value)
  return Date.UTC(parts.year!, parts.month! - 1, parts.day!, parts.hour!, parts.minute!, parts.second!) / 1000
}

/**
 * The instant of a local date and time. A time that a change to summer time leaves out is taken after it, by as much as the clock was moved; one that comes
 * twice is the first. Throws RangeError for a date, time or zone that is none.
 */
export function instantOf({ date, time, zone }: LocalMoment): EpochTime {
  const wall = Date.parse(`${date}T${time}:00Z`) / 1000
  if (!/^\d{4}-\d{2}-\d{2}$/.test(date) || !/^\d{2}:\d{2}$/.test(time) || Number.isNaN(wall))
    throw new RangeError(`instantOf: "${date} ${time}" is no date and time (YYYY-MM-DD, HH:MM)`)
  // Offsets a day before and after surround any one change; zones lie within 14 hours of UTC.
  const before = wallClock(wall - DAY, zone) - (wall - DAY)
  const after = wallClock(wall + DAY, zone) - (wall + DAY)
  const fits = [wall - before, wall - after].filter((at) => wallClock(at, zone) === wall)
  return fits.length > 0 ? Math.min(...fits) : wall - before
}

/** Local calendar date of an instant, YYYY-MM-DD. */
export const dateIn = (at: EpochTime, zone: string): string => isoDate(wallClock(at, zone))

/** The practice day an instant belongs to, YYYY-MM-DD. */
export const practiceDay = (at: EpochTime, zone: string): string => isoDate(wallClock(at, zone) - TURNS_AT * 3600)

/** Whole calendar days from one date to another; negative when `to` is earlier. Days of 23 and 25 hours count as one. */
export function daysBetween(from: string, to: string): number {
  return Math.round((Date.parse(`${to}T00:00Z`) - Date.parse(`${from}T00:00Z`)) / (DAY * 1000))
}

/** `days` after a date. */
export const dateAfter = (date: string, days: number): string =>
  isoDate(Date.parse(`${date}T00:00Z`) / 1000 + days * DAY)

const isoDate = (seconds: number) => new Date(seconds * 1000).toISOString().slice(0, 10)
