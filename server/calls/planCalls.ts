import type { Notes } from '../notes/notes.ts'
import type { Placement } from '../placement/placement.ts'
import type { SpeedProfile } from '../speed/speed.ts'
import type { Seconds } from '../units.ts'
import { callWindows, type TimedCall, type TimedWindow } from './callWindows.ts'
import { type LateTerm, type ScalingCall, scaledCeiling } from './ceilings.ts'
import { TIGHT } from './defaults.ts'
import type { CallDuration, CallPlan, CallSettings, CallWindow, Ceiling, PlannedCall } from './plan.ts'
import { findCrunches, schedule } from './schedule.ts'
import { timedCall } from './timedCalls.ts'

/** Plans are kept in whole milliseconds, so that sums are exact (scheduling.md §10). */
const MS = 1000
/** A squeeze of n ms over n calls can come of rounding lengths up; up to this it is none. */
const ROUNDED: Seconds = 0.002

export interface PlanInput {
  readonly notes: Notes
  readonly placement: Placement
  readonly profile: SpeedProfile
  /** Indices of the notes' calls that are read, ascending; absent is all. */
  readonly calls?: readonly number[]
  /** Parallel to `calls`. */
  readonly durations: readonly CallDuration[]
  readonly settings: CallSettings
}

/** The calls that are read, each with its place. Throws RangeError when durations are not parallel to them. */
export function timedCallsOf(input: Omit<PlanInput, 'profile'>): { calls: readonly number[]; timed: TimedCall[] } {
  const calls = input.calls ?? input.notes.calls.map((call) => call.index)
  if (calls.length !== input.durations.length)
    throw new RangeError(`planCalls: ${input.durations.length} durations for ${calls.length} calls`)
  let next = 0
  const timed = calls.map((call) => {
    const note = input.notes.calls[call]
    const placed = input.placement.calls[call]
    if (!note || !placed) throw new RangeError(`planCalls: call ${call} is not both in the notes and placed`)
    const one = timedCall(note, placed)
    if (call === next++) return one
    const unread = input.placement.calls.slice(next - 1, call).flatMap(({ parts }) => parts)
    next = call + 1
    return { ...one, unread }
  })
  return { calls, timed }
}

/** Windows of the calls, before anything is scheduled. */
export function windowsOf(input: PlanInput): { calls: readonly number[]; timed: TimedCall[]; windows: TimedWindow[] } {
  const { calls, timed } = timedCallsOf(input)
  return { calls, timed, windows: callWindows(timed, input.durations, input.profile, input.settings) }
}

/** Weight of every call: leads are wished for alike. */
const WEIGHT = 1

/** Whole-millisecond windows: lengths and earliest up, latest down, preferred to the nearest. Empty calls take 1 ms. */
export function wholeWindows(
  windows: readonly TimedWindow[],
  durations: readonly CallDuration[],
  settings: CallSettings,
): CallWindow[] {
  return roundedWindows(windows, durations, settings, true)
}

const NO_TERMS: NonNullable<CallWindow['terms']> = []

/** The same, on request without the terms of single words, which only the reading rate of a crunch asks for. All objects are of one shape: read fastest. */
function roundedWindows(
  windows: readonly TimedWindow[],
  durations: readonly CallDuration[],
  settings: CallSettings,
  withTerms: boolean,
): (CallWindow & { readonly gap: number })[] {
  const gap = Math.round(settings.gap * MS)
  return windows.map((window, i) => ({
    length: Math.max(1, Math.ceil(durations[i]!.duration * MS - 1e-6)) + gap,
    earliest: Math.ceil(window.earliest * MS - 1e-6),
    latest: Math.floor(window.latest * MS + 1e-6),
    preferred: Math.round(window.preferred * MS),
    weight: WEIGHT,
    gap,
    terms: withTerms ? termsOf(window, durations[i]!) : NO_TERMS,
  }))
}

function termsOf(window: TimedWindow, { duration, elementEnds }: CallDuration): NonNullable<CallWindow['terms']> {
  const terms: { end: number; deadline: number }[] = []
  for (let e = 0; e < window.elements.length; e++) {
    const { deadline } = window.elements[e]!
    const end = elementEnds[e]
    if (deadline !== null && end !== null && end !== undefined) terms.push({ end: end * MS, deadline: deadline * MS })
  }
  // Links alone carry no deadline; the call as a whole is still to be out before its place (callWindows).
  if (terms.length === 0) terms.push({ end: duration * MS, deadline: (window.latest + duration) * MS })
  return terms
}

/** The call plan of a run: windows, exact schedule, crunches and the closed-form ceiling. Milliseconds for hundreds of calls. */
export function planCalls(input: PlanInput): CallPlan {
  const { calls, timed, windows } = windowsOf(input)
  const { settings } = input
  const whole = roundedWindows(windows, input.durations, settings, false)
  const plan = schedule(whole, { whole: true })
  const planned = calls.map((index, i): PlannedCall => {
    const note = input.notes.calls[index]!
    const start = plan.starts[i]! / MS
    const ends = input.durations[i]!.elementEnds
    const stations = input.placement.calls[index]!.stations
    return {
      index,
      text: note.text,
      station: timed[i]!.from,
      start,
      end: (plan.starts[i]! + whole[i]!.length - whole[i]!.gap) / MS,
      earliest: whole[i]!.earliest / MS,
      latest: whole[i]!.latest / MS,
      preferred: whole[i]!.preferred / MS,
      weight: WEIGHT,
      late: plan.late[i]! / MS,
      slack: plan.slackEff[i]! / MS,
      actBy: windows[i]!.actBy,
      elements: note.elements.map((element, e) => ({
        text: element.text,
        station: stations[e] ?? timed[i]!.from,
        actBy: windows[i]!.elements[e]!.actBy,
        deadline: windows[i]!.elements[e]!.deadline,
        spokenAt: ends[e] === null || ends[e] === undefined ? null : start + ends[e],
      })),
    }
  })
  // A crunch is a run of calls with one late among them: where none is, no word's deadline need be written out.
  const fits = plan.late.every((late) => late <= ROUNDED * MS)
  const found = fits ? [] : findCrunches(wholeWindows(windows, input.durations, settings), ROUNDED * MS)
  const crunches = found.map((crunch) => ({
    first: calls[crunch.first]!,
    last: calls[crunch.last]!,
    over: crunch.over / MS,
    rate: crunch.rate,
    tight: crunch.over / MS <= TIGHT,
    core: [calls[crunch.core[0]]!, calls[crunch.core[1]]!] as const,
  }))
  return {
    gap: Math.round(settings.gap * MS) / MS,
    calls: planned,
    crunches,
    ceiling: closedFormCeiling(calls, windows, input),
  }
}

/** What of each window scales with speed: places do; speaking, reacting and preparing do not (windows.md §10). */
export function scalingCalls(
  windows: readonly TimedWindow[],
  durations: readonly CallDuration[],
  settings: CallSettings,
): ScalingCall[] {
  return windows.map((window, i) => {
    const early = [
      { a: 0, alpha: settings.before },
      { a: window.firstPlace, alpha: settings.ahead + window.firstPlace - window.first },
    ]
    if (window.waitsFor) {
      const { moment, place } = window.waitsFor
      early.push({ a: place, alpha: place - moment })
    }
    const late: LateTerm[] = []
    const ends = durations[i]!.elementEnds
    for (let e = 0; e < window.elements.length; e++) {
      const { deadline, place } = window.elements[e]!
      const end = ends[e]
      if (deadline === null || place === null || end === null || end === undefined) continue
      late.push({ T: place, rho: place - deadline + end })
    }
    return { length: durations[i]!.duration + settings.gap, early, late }
  })
}

function closedFormCeiling(
  calls: readonly number[],
  windows: readonly TimedWindow[],
  input: PlanInput,
): Ceiling | null {
  if (calls.length === 0) return null
  const scaled = scaledCeiling(scalingCalls(windows, input.durations, input.settings))
  if (!scaled.fits || scaled.pair === null || !Number.isFinite(scaled.kMax)) return null
  return {
    averageSpeed: input.profile.averageSpeed * scaled.kMax,
    first: calls[scaled.pair[0]]!,
    last: calls[scaled.pair[1]]!,
    method: 'closed form',
  }
}
