import type { SpeedProfile } from '../speed/speed.ts'
import { timeAt } from '../speed/stageTime.ts'
import type { Metres, Seconds, StageTime } from '../units.ts'
import { brakeOnsets, type RoadPart } from './brakeOnsets.ts'
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
  readonly parts: readonly RoadPart[]
  readonly duties: readonly ElementDuty[]
  /** Road between the call read before and this one that belongs to calls nobody reads: braking there is not for this call. */
  readonly unread?: readonly RoadPart[]
}

export interface TimedWindow {
  /** When the driver must act for the call as a whole, and for this call or anything after it. */
  readonly actBy: StageTime
  readonly first: StageTime
  readonly turnIn: StageTime
  /** Onset of the braking that sets act-by, when a braking does. */
  readonly braking: StageTime | null
  readonly elements: readonly ElementMoment[]
  /** The place on the road behind `first` (an onset or a turn-in, without preparation), and the moment a call must wait for, with its place. */
  readonly firstPlace: StageTime
  readonly waitsFor: { readonly moment: StageTime; readonly place: StageTime } | null
  readonly latest: StageTime
  readonly earliest: StageTime
  readonly preferred: StageTime
  /** What sets the earliest start. */
  readonly earliestBy: 'before the start' | 'ahead' | 'waiting'
  /** Element that sets the latest start. */
  readonly latestBy: number
}

/** `place` is when the car is at the place the moment is read off: it scales with speed, what lies between it and the deadline does not. */
export interface ElementMoment {
  readonly actBy: StageTime | null
  readonly deadline: StageTime | null
  readonly place: StageTime | null
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
  if (calls.length !== durations.length)
    throw new RangeError(`callWindows: ${durations.length} durations for ${calls.length} calls`)
  const moments = actMoments(calls, profile, settings)
  const soonest = suffixSoonest(moments.map((moment) => moment.actBy))
  const waits = waitingCalls(
    soonest.map((call) => moments[call]!.actBy),
    settings.waiting,
  )
  return calls.map((call, i) => {
    const moment = moments[i]!
    const { actBy, turnIn, braking } = moment
    const question = { call, moment, profile, settings }
    const elements = call.duties.map((duty) => elementMoment(duty, question))
    const { latest, latestBy } = latestStart(elements, durations[i]!, actBy - settings.reaction)
    const next = moments[soonest[i]!]!
    const held = waits[i] === null ? null : moments[soonest[waits[i]!]!]!
    const ahead = next.actBy - settings.ahead
    const earliest = Math.max(-settings.before, ahead, held?.actBy ?? Number.NEGATIVE_INFINITY)
    const earliestBy = earliest === held?.actBy ? 'waiting' : earliest === ahead ? 'ahead' : 'before the start'
    return {
      actBy,
      first: next.actBy,
      firstPlace: next.place,
      waitsFor: held && { moment: held.actBy, place: held.place },
      turnIn,
      braking,
      elements,
      latest,
      earliest,
      preferred: latest - settings.lead,
      earliestBy,
      latestBy,
    }
  })
}

interface ActMoment {
  readonly actBy: StageTime
  /** When the car is at the place act-by is read off: the onset itself, or the turn-in that preparation is taken from. */
  readonly place: StageTime
  readonly turnIn: StageTime
  readonly braking: StageTime | null
  readonly parts: readonly { readonly actBy: StageTime; readonly place: StageTime }[]
}

function actMoments(calls: readonly TimedCall[], profile: SpeedProfile, settings: CallSettings): ActMoment[] {
  const onsets = brakeOnsets(profile, [
    ...calls.flatMap((call) => call.parts),
    ...calls.flatMap((call) => call.unread ?? []),
  ])
  let next = 0
  return calls.map((call): ActMoment => {
    const turnIn = timeAt(profile, call.from)
    let act = prepared(turnIn, settings)
    let braking: StageTime | null = null
    const parts: Act[] = []
    for (const [p, part] of call.parts.entries()) {
      const onset = onsets[next++] ?? null
      const turning =
        p === 0 && part.from >= call.from ? prepared(turnIn, settings) : prepared(timeAt(profile, part.from), settings)
      const brakes = onset !== null && onset <= turning.actBy
      const own = brakes ? { actBy: onset, place: onset } : turning
      if (own.actBy < act.actBy || (brakes && own.actBy === act.actBy)) {
        act = own
        braking = brakes ? onset : null
      }
      parts.push(own)
    }
    return { actBy: act.actBy, place: act.place, turnIn, braking, parts }
  })
}

/** For each call which call, itself or a later one, is acted on soonest; the first of equals. */
function suffixSoonest(values: readonly number[]): number[] {
  const result = values.map((_, i) => i)
  for (let i = values.length - 2; i >= 0; i--) {
    if (values[result[i + 1]!]! < values[i]!) result[i] = result[i + 1]!
  }
  return result
}

/**
 * For each call the one at whose moment the (waiting+1)-th latest distinct moment before its own lies, or null: while it is said, at most
 * `waiting` others are to come. `first` is non-decreasing, so the distinct ones form a stack.
 */
function waitingCalls(first: readonly StageTime[], waiting: number): (number | null)[] {
  const distinct: number[] = []
  return first.map((own, i) => {
    const top = distinct.at(-1)
    const before = top !== undefined && own - first[top]! <= SAME_MOMENT ? distinct.length - 1 : distinct.length
    if (before === distinct.length) distinct.push(i)
    return before > waiting ? distinct[before - 1 - waiting]! : null
  })
}

interface Act {
  readonly actBy: StageTime
  readonly place: StageTime
}

interface ElementQuestion {
  readonly call: TimedCall
  readonly moment: ActMoment
  readonly profile: SpeedProfile
  readonly settings: CallSettings
}

// Called for every element on every move of the slider: functions named inside would be made, and named, anew each time.
function elementMoment(duty: ElementDuty, q: ElementQuestion): ElementMoment {
  const { call, moment, profile, settings } = q
  switch (duty.by) {
    case 'call':
      return reacted(moment, q)
    case 'turn-in':
      return reacted(prepared(moment.turnIn, settings), q)
    case 'tightens': {
      const turning = prepared(moment.turnIn, settings)
      return reacted(sooner(moment.parts[duty.part] ?? turning, turning), q)
    }
    case 'opens': {
      const part = call.parts[duty.part]
      return reacted(prepared(part ? timeAt(profile, part.from) : moment.turnIn, settings), q)
    }
    case 'crest':
      return reacted(prepared(Math.min(timeAt(profile, duty.station), moment.turnIn), settings), q)
    case 'exit': {
      const exit = timeAt(profile, call.to)
      return { actBy: exit, deadline: exit, place: exit }
    }
    case 'none':
      return { actBy: null, deadline: null, place: null }
    default:
      return duty satisfies never
  }
}

function prepared(place: StageTime, settings: CallSettings): Act {
  return { actBy: place - settings.preparation, place }
}

function sooner(a: Act, b: Act): Act {
  return a.actBy < b.actBy ? a : b
}

/** Nothing of a call is due before the call itself; asked for strictly, nothing of it after either. */
function reacted(act: Act, { moment, settings }: ElementQuestion): ElementMoment {
  const { actBy, place } = settings.deadlines === 'strict' || act.actBy < moment.actBy ? moment : act
  return { actBy, place, deadline: actBy - settings.reaction }
}

/** The window of a call that is said otherwise: only when it must start changes, not when the driver acts. */
export function saidOtherwise(window: TimedWindow, duration: CallDuration, settings: CallSettings): TimedWindow {
  const start = latestStart(window.elements, duration, window.actBy - settings.reaction)
  return { ...window, ...start, preferred: start.latest - settings.lead }
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
  return latest === Number.POSITIVE_INFINITY
    ? { latest: otherwise - duration.duration, latestBy: 0 }
    : { latest, latestBy }
}
