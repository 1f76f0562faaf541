import type { SpeedProfile } from '../speed/speed.ts'
import { timeAt } from '../speed/stageTime.ts'
import type { Metres, Seconds, StageTime } from '../units.ts'
import { brakeOnsets } from './brakeOnsets.ts'
import type { CallDuration, CallSettings } from './plan.ts'

/** What an element of a call must be out before. `part` names the part of the call that tightens or opens. */
export type ElementDuty =
  | { readonly by: 'call' } // warning, grade and direction, other features
  | { readonly by: 'turn-in' } // length, cut, objects, position …
  | { readonly by: 'tightens'; readonly part: number }
  | { readonly by: 'opens'; readonly part: number }
  | { readonly by: 'crest'; readonly station: Metres }
  | { readonly by: 'exit' } // a distance: the end of the feature, no reaction
  | { readonly by: 'none' } // links

/** A call as windows see it: where it is, its parts in road order, and what each element must be out before. */
export interface TimedCall {
  readonly from: Metres
  readonly to: Metres
  readonly parts: readonly { readonly from: Metres; readonly to: Metres }[]
  readonly duties: readonly ElementDuty[]
}

export interface TimedWindow {
  /** When the driver must act for the call as a whole, and for this call or anything after it. */
  readonly actBy: StageTime
  readonly first: StageTime
  readonly turnIn: StageTime
  /** Onset of the braking that sets act-by, when a braking does. */
  readonly braking: StageTime | null
  readonly elements: readonly { readonly actBy: StageTime | null; readonly deadline: StageTime | null }[]
  readonly latest: StageTime
  readonly earliest: StageTime
  readonly preferred: StageTime
  /** What sets the earliest start. */
  readonly earliestBy: 'before the start' | 'ahead' | 'waiting'
  /** Element that sets the latest start. */
  readonly latestBy: number
}

/** Moments of action nearer than this count as one. */
const SAME_MOMENT: Seconds = 0.001

/**
 * Windows of windows.md §3–4. `calls` in spoken order, `durations` parallel to it.
 *   latest = min over elements of (deadline − word end);  preferred = latest − lead
 *   earliest = max(−before, first − ahead, the (waiting+1)-th distinct earlier moment of action)
 * Throws RangeError when the lengths differ.
 */
export function callWindows(
  calls: readonly TimedCall[],
  durations: readonly CallDuration[],
  profile: SpeedProfile,
  settings: CallSettings,
): TimedWindow[] {
  if (calls.length !== durations.length) throw new RangeError(`callWindows: ${durations.length} durations for ${calls.length} calls`)
  const moments = actMoments(calls, profile, settings)
  const first = suffixMinimum(moments.map((moment) => moment.actBy))
  const moment = waitingMoments(first, settings.waiting)
  return calls.map((call, i) => {
    const { actBy, turnIn, braking, partActBy } = moments[i]!
    const elements = call.duties.map((duty) => elementDeadline(duty, { call, actBy, turnIn, partActBy, profile, settings }))
    const { latest, latestBy } = latestStart(elements, durations[i]!, actBy - settings.reaction)
    const ahead = first[i]! - settings.ahead
    const earliest = Math.max(-settings.before, ahead, moment[i]!)
    const earliestBy = earliest === moment[i] ? 'waiting' : earliest === ahead ? 'ahead' : 'before the start'
    const preferred = latest - settings.lead
    return { actBy, first: first[i]!, turnIn, braking, elements, latest, earliest, preferred, earliestBy, latestBy }
  })
}

function actMoments(calls: readonly TimedCall[], profile: SpeedProfile, settings: CallSettings) {
  const parts = calls.flatMap((call) => call.parts)
  const onsets = brakeOnsets(profile, parts)
  let next = 0
  return calls.map((call) => {
    const turnIn = timeAt(profile, call.from)
    let braking: StageTime | null = null
    let actBy = turnIn - settings.preparation
    const partActBy = call.parts.map((part, p) => {
      const onset = onsets[next++] ?? null
      const entered = timeAt(profile, p === 0 ? Math.min(part.from, call.from) : part.from) - settings.preparation
      const act = onset === null ? entered : Math.min(onset, entered)
      if (act < actBy || (p === 0 && onset !== null && act === onset)) {
        actBy = Math.min(actBy, act)
        braking = act === onset ? onset : braking
      }
      return act
    })
    return { actBy, turnIn, braking, partActBy }
  })
}

function suffixMinimum(values: readonly number[]): number[] {
  const result = [...values]
  for (let i = result.length - 2; i >= 0; i--) result[i] = Math.min(result[i]!, result[i + 1]!)
  return result
}

/**
 * For each call the (waiting+1)-th latest distinct moment of action before its own: while it is said, at most `waiting` others are to come.
 * `first` is non-decreasing, so the distinct ones form a stack.
 */
function waitingMoments(first: readonly StageTime[], waiting: number): StageTime[] {
  const distinct: StageTime[] = []
  return first.map((own) => {
    const before = distinct.length > 0 && own - distinct.at(-1)! <= SAME_MOMENT ? distinct.length - 1 : distinct.length
    const moment = before > waiting ? distinct[before - 1 - waiting]! : Number.NEGATIVE_INFINITY
    if (before === distinct.length) distinct.push(own)
    return moment
  })
}

function elementDeadline(
  duty: ElementDuty,
  q: {
    call: TimedCall
    actBy: StageTime
    turnIn: StageTime
    partActBy: readonly StageTime[]
    profile: SpeedProfile
    settings: CallSettings
  },
): { actBy: StageTime | null; deadline: StageTime | null } {
  const { call, actBy, turnIn, partActBy, profile, settings } = q
  const turning = turnIn - settings.preparation
  const strict = settings.deadlines === 'strict'
  const reacted = (moment: StageTime) => ({ actBy: moment, deadline: moment - settings.reaction })
  switch (duty.by) {
    case 'call':
      return reacted(actBy)
    case 'turn-in':
      return reacted(strict ? actBy : Math.max(actBy, turning))
    case 'tightens':
      return reacted(strict ? actBy : Math.max(actBy, Math.min(partActBy[duty.part] ?? turning, turning)))
    case 'opens': {
      const part = call.parts[duty.part]
      return reacted(strict ? actBy : part ? Math.max(actBy, timeAt(profile, part.from) - settings.preparation) : Math.max(actBy, turning))
    }
    case 'crest':
      return reacted(strict ? actBy : Math.max(actBy, Math.min(timeAt(profile, duty.station) - settings.preparation, turning)))
    case 'exit': {
      const exit = timeAt(profile, call.to)
      return { actBy: exit, deadline: exit }
    }
    case 'none':
      return { actBy: null, deadline: null }
    default:
      return duty satisfies never
  }
}

function latestStart(
  elements: readonly { readonly deadline: StageTime | null }[],
  duration: CallDuration,
  otherwise: StageTime,
): { latest: StageTime; latestBy: number } {
  let latest = Number.POSITIVE_INFINITY
  let latestBy = 0
  elements.forEach(({ deadline }, e) => {
    const end = duration.elementEnds[e]
    if (deadline === null || end === null || end === undefined || deadline - end >= latest) return
    latest = deadline - end
    latestBy = e
  })
  // A call of links alone has no deadline of its own: it is out before its place is acted on.
  return latest === Number.POSITIVE_INFINITY ? { latest: otherwise - duration.duration, latestBy: 0 } : { latest, latestBy }
}
