import type { Rehearsal } from '../rehearsal/stage.ts'
import { fromPlane } from '../route/localPlane.ts'
import type { Metres, Seconds, StageTime } from '../units.ts'

/** A call of a plan as a row of a table: SI units, times on the stage clock; degrees (WGS 84) where the road has a place on earth. */
export interface PlanRow {
  readonly call: number
  readonly line: number
  readonly text: string
  readonly said: string
  readonly wording: string
  readonly station: Metres
  readonly start: StageTime
  readonly end: StageTime
  readonly earliest: StageTime
  readonly latest: StageTime
  readonly preferred: StageTime
  readonly actBy: StageTime
  readonly late: Seconds
  readonly slack: Seconds
  readonly latitude: number | null
  readonly longitude: number | null
}

/** Every column of a table file: the row's key, its heading with the unit, and whether it holds words. */
export const COLUMNS: readonly { key: keyof PlanRow; head: string; words?: boolean }[] = [
  { key: 'call', head: 'call' },
  { key: 'line', head: 'line' },
  { key: 'text', head: 'text', words: true },
  { key: 'said', head: 'said', words: true },
  { key: 'wording', head: 'wording', words: true },
  { key: 'station', head: 'station (m)' },
  { key: 'start', head: 'start (s)' },
  { key: 'end', head: 'end (s)' },
  { key: 'earliest', head: 'earliest (s)' },
  { key: 'latest', head: 'latest (s)' },
  { key: 'preferred', head: 'preferred (s)' },
  { key: 'actBy', head: 'act by (s)' },
  { key: 'late', head: 'late (s)' },
  { key: 'slack', head: 'slack (s)' },
  { key: 'latitude', head: 'latitude (deg)' },
  { key: 'longitude', head: 'longitude (deg)' },
]

const MM = 1000
/** 1e-7 of a degree is a centimetre. */
const PLACE = 1e7
const rounded = (value: number, grain: number) => Math.round(value * grain) / grain

/** A plan as rows, in spoken order. `call` counts from 1, as a person does. */
export function planRows(rehearsal: Rehearsal): PlanRow[] {
  const { plan, said, stage } = rehearsal
  return plan.calls.map((call, i) => {
    const note = stage.notes.calls[call.index]!
    const place = placeOf(rehearsal, call.station)
    return {
      call: call.index + 1,
      line: note.line,
      text: note.text,
      said: said[i]!.say,
      wording: said[i]!.wording,
      station: rounded(call.station, MM),
      start: call.start,
      end: call.end,
      earliest: call.earliest,
      latest: call.latest,
      preferred: call.preferred,
      actBy: rounded(call.actBy, MM),
      late: call.late,
      slack: call.slack,
      latitude: place && rounded(place.latitude, PLACE),
      longitude: place && rounded(place.longitude, PLACE),
    }
  })
}

/** Where a station is on earth and how high; null for a road without a place. */
export function placeOf(
  { stage: { route } }: Rehearsal,
  station: Metres,
): { latitude: number; longitude: number; height: Metres } | null {
  if (route.origin === null || route.source === 'notes') return null
  const at = Math.min(route.x.length - 1, Math.max(0, station / route.step))
  const i = Math.min(route.x.length - 2, Math.floor(at))
  const between = (values: Float64Array) => values[i]! + (at - i) * (values[i + 1]! - values[i]!)
  return { ...fromPlane(route.origin, between(route.x), between(route.y)), height: between(route.z) }
}
