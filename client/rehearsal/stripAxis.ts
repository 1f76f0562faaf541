import type { PlanDocument } from '../../server/api/wire.ts'
import type { Metres, StageTime } from '../../server/units.ts'
import { clockInWords, lengthInWords, type Units } from '../look/words.ts'
import { type CarState, carAtInPlace, type ProfileTable } from '../playback/carAt.ts'
import { ROAD_STEPS, TIME_STEPS } from './stripLayout.ts'

export type AxisKind = 'time' | 'station'

/** One axis under the strip: seconds of the stage, or metres of the road. */
export interface StripAxis {
  readonly kind: AxisKind
  /** Axis value of a stage time; ascending. */
  readonly at: (time: StageTime) => number
  /** Where on the road an axis value is. */
  readonly station: (value: number) => Metres
  /** What is worth showing. */
  readonly from: number
  readonly to: number
  readonly steps: readonly number[]
  readonly label: (value: number) => string
  /** Axis units that one second takes on average: keeps a zoom when the axis is changed. */
  readonly perSecond: number
}

/** Before the line and after the finish the station axis goes on at the average speed, so that calls said there have a width. */
export function stripAxis(plan: PlanDocument, kind: AxisKind, units: Units): StripAxis {
  const profile: ProfileTable = plan.profile!
  const car: CarState = { station: 0, speed: 0 }
  const stationOf = (time: StageTime): Metres => {
    carAtInPlace(profile, time, car)
    return car.station
  }
  const first = Math.min(0, plan.calls[0]?.start ?? 0) - 2
  const last = Math.max(plan.run.time, plan.calls.at(-1)?.end ?? 0) + 2
  if (kind === 'time') {
    return {
      kind,
      at: (time) => time,
      station: stationOf,
      from: first,
      to: last,
      steps: TIME_STEPS,
      label: (value) => clockInWords(value).replace(/\.0$/, ''),
      perSecond: 1,
    }
  }
  const pace = plan.run.averageSpeed
  const begin = profile.time[0]!
  const end = profile.time.at(-1)!
  const at = (time: StageTime) => stationOf(time) + pace * (Math.min(0, time - begin) + Math.max(0, time - end))
  return {
    kind,
    at,
    station: (value) => Math.min(profile.station.at(-1)!, Math.max(profile.station[0]!, value)),
    from: at(first),
    to: at(last),
    steps: ROAD_STEPS,
    label: (value) => lengthInWords(value, units),
    perSecond: pace,
  }
}
