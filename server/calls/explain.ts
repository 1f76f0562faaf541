import type { Call } from '../notes/notes.ts'
import type { SpeedProfile } from '../speed/speed.ts'
import { speedAt, stationAt } from '../speed/stageTime.ts'
import { type Metres, type MetresPerSecond, type Seconds, toKmh, toMph, YARD } from '../units.ts'
import type { TimedCall, TimedWindow } from './callWindows.ts'
import type { CallDuration, CallPlan, CallSettings, PlannedCall } from './plan.ts'
import { type PlanInput, windowsOf } from './planCalls.ts'

export type SpokenUnits = 'metric' | 'miles'

/** What a sentence about one call needs. */
interface Told {
  readonly note: Call
  readonly timed: TimedCall
  readonly window: TimedWindow
  readonly duration: CallDuration
  readonly planned: PlannedCall
  readonly profile: SpeedProfile
  readonly settings: CallSettings
  readonly units: SpokenUnits
}

/**
 * Why each planned call must start by its latest and not before its earliest, and by how much it is late: one sentence each, with its
 * numbers, in the crew's units. Parallel to plan.calls; `plan` is what planCalls made of the same input.
 */
export function explainCalls(input: PlanInput, plan: CallPlan, units: SpokenUnits = 'metric'): string[][] {
  const { calls, timed, windows } = windowsOf(input)
  return calls.map((index, i) => {
    const told: Told = {
      note: input.notes.calls[index]!,
      timed: timed[i]!,
      window: windows[i]!,
      duration: input.durations[i]!,
      planned: plan.calls[i]!,
      profile: input.profile,
      settings: input.settings,
      units,
    }
    const sentences = [whyByThen(told), whyNotSooner(told)]
    if (told.planned.late > 0) sentences.push(whyLate(told, plan, i))
    return sentences
  })
}

function whyByThen(told: Told): string {
  const { window, duration, settings, timed, note } = told
  const end = duration.elementEnds[window.latestBy] ?? duration.duration
  const element = note.elements[window.latestBy]
  const said = `${seconds(end)} to say`
  const react = `${seconds(settings.reaction)} to react`
  const duty = timed.duties[window.latestBy]
  const words = element ? `"${element.text}"` : 'the call'
  switch (duty?.by) {
    case 'exit':
      return `${words} must be out by the end of the bend at ${place(timed.to, told)}: ${said}.`
    case 'turn-in':
    case 'crest':
    case 'opens':
    case 'tightens':
      if (window.elements[window.latestBy]!.actBy! > window.actBy) return `${words} ${lateWord(told, react, said)}`
      return braking(told, react, said)
    default:
      return braking(told, react, said)
  }
}

/** Words of a call that are due after its braking has begun. */
function lateWord(told: Told, react: string, said: string): string {
  const moment = told.window.elements[told.window.latestBy]!
  const settle = seconds(moment.place! - moment.actBy!)
  const at = stationAt(told.profile, moment.place!)
  const ready = moment.place === moment.actBy ? 'braking again' : `${settle} to be ready`
  return `must be heard before ${place(at, told)}, at ${speed(speedAt(told.profile, at), told)}: ${ready}, ${react}, ${said}.`
}

function braking(told: Told, react: string, said: string): string {
  const { window, profile, timed, settings } = told
  const what = nameOf(told.note)
  if (window.braking === null) {
    const at = speed(speedAt(profile, timed.from), told)
    return `No braking for ${what} at ${place(timed.from, told)}, taken at ${at}: ${seconds(settings.preparation)} to be ready, ${react}, ${said}.`
  }
  const from = stationAt(profile, window.braking)
  const distance = Math.max(0, timed.from - from)
  const entry = speed(speedAt(profile, from), told)
  return `Brake for ${what} at ${place(timed.from, told)} from ${entry}: ${length(distance, told)} of braking, ${react}, ${said}.`
}

function whyNotSooner(told: Told): string {
  const { window, settings } = told
  const at = clock(window.earliest)
  switch (window.earliestBy) {
    case 'waiting':
      return `Not before ${at}: ${settings.waiting === 1 ? 'one call is' : `${count(settings.waiting)} calls are`} already waiting.`
    case 'ahead':
      return `Not before ${at}: that is ${seconds(settings.ahead)} before the next moment to act.`
    case 'before the start':
      return `Not before ${at}: reading begins ${seconds(settings.before)} before the start.`
    default:
      return window.earliestBy satisfies never
  }
}

function whyLate({ planned }: Told, plan: CallPlan, i: number): string {
  const crunch = plan.crunches.find((one) => one.first <= planned.index && planned.index <= one.last)
  const late = `${seconds(planned.late)} late`
  if (!crunch || crunch.core[0] === planned.index)
    return `${late}: it may not start sooner and is too long for what is left.`
  const from = plan.calls.findIndex((call) => call.index === crunch.core[0])
  const before = plan.calls.slice(Math.max(0, from), i)
  const speech = before.reduce((sum, call) => sum + call.end - call.start + plan.gap, 0)
  return `${late}: ${before.length === 1 ? 'the call before it takes' : `the ${count(before.length)} calls before it take`} ${seconds(speech)} from ${clock(before[0]?.start ?? planned.start)} on.`
}

/** The call's corner by its grade as the crew wrote it, else its first words. */
function nameOf(note: Call): string {
  const corner = note.elements.find((element) => element.meaning.is === 'corner')
  if (corner?.meaning.is === 'corner' && corner.meaning.grade) return `the ${corner.meaning.grade.name}`
  return `"${(corner ?? note.elements.find((one) => one.timing !== 'none') ?? note.elements[0])?.text ?? note.text}"`
}

export const seconds = (value: Seconds) =>
  `${(Math.abs(value) < 0.995 ? Number(value.toFixed(2)) : Number(value.toFixed(1))).toString()} s`
export const clock = (value: Seconds) => `${value.toFixed(1)} s`
export const place = (station: Metres, { units }: { units: SpokenUnits }) =>
  units === 'miles' ? `${Math.round(station / YARD)} yd` : `${Math.round(station)} m`
const length = place
export const speed = (value: MetresPerSecond, { units }: { units: SpokenUnits }, digits = 0) =>
  units === 'miles' ? `${toMph(value).toFixed(digits)} mph` : `${toKmh(value).toFixed(digits)} km/h`
const COUNTS = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine', 'ten']
export const count = (n: number) => COUNTS[n] ?? String(n)
