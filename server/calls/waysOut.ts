import { lossOf } from '../notes/wordings.ts'
import type { SpeedLimit } from '../speed/limitedCells.ts'
import type { SpeedProfile } from '../speed/speed.ts'
import { stationAt } from '../speed/stageTime.ts'
import type { Metres, MetresPerSecond, Seconds } from '../units.ts'
import { callWindows, saidOtherwise, type TimedWindow } from './callWindows.ts'
import { count, place, type SpokenUnits, seconds, speed } from './explain.ts'
import type { CallDuration, CallSettings, CallWindow, Crunch } from './plan.ts'
import { type PlanInput, timedCallsOf, wholeWindows } from './planCalls.ts'
import { soonestStarts } from './schedule.ts'

/** One way out of a crunch, computed. `left` is what it leaves over; 0 when it is enough by itself. */
export type WayOut = { readonly sentence: string; readonly left: Seconds } & (
  | {
      readonly kind: 'shorten'
      readonly drops: readonly {
        readonly call: number
        readonly element: number
        readonly text: string
        readonly gain: Seconds
      }[]
    }
  | { readonly kind: 'faster'; readonly rate: number }
  | { readonly kind: 'sooner'; readonly call: number; readonly settings: Partial<CallSettings> }
  | { readonly kind: 'slower'; readonly from: Metres; readonly to: Metres; readonly speed: MetresPerSecond }
)

/** Beyond this multiple of the present pace the advice is to shorten, not to talk faster (scheduling.md §5). */
const FASTEST_TALK = 1.35
/** Lateness up to this is rounding to milliseconds. */
const NONE: Seconds = 0.002
const MS = 1000

/**
 * Computed ways out of a crunch of the plan made from `input`, surest first: words to leave out, a faster reading, an earlier start of the
 * first call, a slower section. Each is tried on the windows themselves, and what it leaves over is said. `keep`: element texts never dropped.
 */
export function waysOut(
  input: PlanInput,
  crunch: Crunch,
  options: {
    readonly units?: SpokenUnits
    readonly keep?: ReadonlySet<string>
    /** Solves the road at the plan's own commitment with a limit on a stretch; without it no slower section is offered. */
    readonly profileWith?: (limit: SpeedLimit) => SpeedProfile
  } = {},
): WayOut[] {
  const { calls, timed } = timedCallsOf(input)
  const first = calls.indexOf(crunch.first)
  const last = calls.indexOf(crunch.last)
  if (first < 0 || last < first)
    throw new RangeError(`waysOut: crunch ${crunch.first}…${crunch.last} is not of these calls`)
  const windows = callWindows(timed, input.durations, input.profile, input.settings)
  const range: Range = {
    input,
    calls,
    first,
    last,
    windows: windows.slice(first, last + 1),
    units: options.units ?? 'metric',
    over: ({ settings = input.settings, profile = input.profile }) => {
      const changed = callWindows(timed, input.durations, profile, settings).slice(first, last + 1)
      return lateness(wholeWindows(changed, input.durations.slice(first, last + 1), settings)).worst
    },
  }
  return [
    shorten(range, options.keep ?? new Set()),
    faster(crunch),
    sooner(range, calls.indexOf(crunch.core[0])),
    slower(range, options.profileWith),
  ]
    .filter((way) => way !== null)
    .sort((a, b) => Number(a.left > 0) - Number(b.left > 0))
}

interface Range {
  readonly input: PlanInput
  readonly calls: readonly number[]
  readonly first: number
  readonly last: number
  /** Of the calls first…last. */
  readonly windows: readonly TimedWindow[]
  /** Worst lateness inside the range, were settings or profile these. */
  readonly over: (changed: { readonly settings?: CallSettings; readonly profile?: SpeedProfile }) => Seconds
  readonly units: SpokenUnits
}

/** Lateness of a run of whole-millisecond windows, in seconds; what is rounding counts as none. */
function lateness(whole: readonly CallWindow[]): { worst: Seconds; sum: Seconds } {
  let worst = 0
  let sum = 0
  for (const [i, start] of soonestStarts(whole).entries()) {
    const late = (start - whole[i]!.latest) / MS
    if (late <= NONE) continue
    worst = Math.max(worst, late)
    sum += late
  }
  return { worst, sum }
}

/** A sentence names so many words; the list holds them all. */
const NAMED = 4

/** Words by least loss for the seconds they give, until the range fits or none is left that may go. */
function shorten({ input, calls, first, last, windows }: Range, keep: ReadonlySet<string>): WayOut | null {
  const candidates = calls.slice(first, last + 1).flatMap((call, k) =>
    input.notes.calls[call]!.elements.flatMap((element, e) => {
      const gain = spokenSeconds(input.durations[first + k]!, e)
      if (element.drop === 0 || gain <= 0 || keep.has(element.text)) return []
      return [
        {
          call,
          at: first + k,
          element: e,
          text: element.text,
          after: input.notes.calls[call]!.elements[0]!.text,
          gain,
          worth: gain / lossOf(element),
        },
      ]
    }),
  )
  candidates.sort((a, b) => b.worth - a.worth || a.call - b.call || a.element - b.element)
  const durations = input.durations.slice(first, last + 1)
  const whole = wholeWindows(windows, durations, input.settings)
  const drops: (typeof candidates)[number][] = []
  let left = lateness(whole)
  for (const drop of candidates) {
    if (left.worst === 0) break
    const at = drop.at - first
    const before = { duration: durations[at]!, window: whole[at]! }
    const duration = without(before.duration, drop.element)
    durations[at] = duration
    whole[at] = wholeWindows([saidOtherwise(windows[at]!, duration, input.settings)], [duration], input.settings)[0]!
    const now = lateness(whole)
    if (now.sum < left.sum) {
      drops.push(drop)
      left = now
    } else {
      // Words said after the last deadline of a range give nothing back.
      durations[at] = before.duration
      whole[at] = before.window
    }
  }
  if (drops.length === 0) return null
  const gained = drops.reduce((sum, drop) => sum + drop.gain, 0)
  const named = drops.slice(0, NAMED).map((drop) => `"${drop.text}" (${drop.after})`)
  const words = drops.length > NAMED ? `${named.join(', ')} and ${drops.length - NAMED} more` : named.join(', ')
  const rest = left.worst > 0 ? `; ${seconds(left.worst)} are still over` : ''
  return {
    kind: 'shorten',
    drops: drops.map(({ call, element, text, gain }) => ({ call, element, text, gain })),
    left: left.worst,
    sentence: `Leave out ${words}: ${seconds(gained)} gained${rest}.`,
  }
}

/** Seconds an element takes: from the end of what is said before it to its own end; 0 when it is not said. */
function spokenSeconds(duration: CallDuration, element: number): Seconds {
  const end = duration.elementEnds[element]
  if (end === null || end === undefined) return 0
  const before = duration.elementEnds.reduce<number>(
    (most, one) => (one !== null && one < end ? Math.max(most, one) : most),
    0,
  )
  return end - before
}

function without(duration: CallDuration, element: number): CallDuration {
  const gain = spokenSeconds(duration, element)
  const end = duration.elementEnds[element]!
  return {
    duration: duration.duration - gain,
    elementEnds: duration.elementEnds.map((one, e) =>
      e === element || one === null ? null : one > end ? one - gain : one,
    ),
  }
}

function faster(crunch: Crunch): WayOut | null {
  if (crunch.rate === null || crunch.rate > FASTEST_TALK) return null
  const more = Math.ceil((crunch.rate - 1) * 100)
  return {
    kind: 'faster',
    rate: crunch.rate,
    left: 0,
    sentence: `Read these calls ${more} % faster (× ${(1 + more / 100).toFixed(2)}).`,
  }
}

/** The first call of the worst pair may not start sooner: what would have to be held in mind for it to. */
function sooner(range: Range, core: number): WayOut | null {
  const window = range.windows[core - range.first]
  if (!window || window.earliestBy === 'before the start') return null
  const { input, calls, over } = range
  const need = over({})
  // Either bound may hold the call once the other is moved, so both move as far as they must.
  const ahead = Math.max(input.settings.ahead, Math.ceil((window.first - window.earliest + need) * 10) / 10)
  const waiting = input.settings.waiting + (window.earliestBy === 'waiting' ? 1 : 0)
  const settings = window.earliestBy === 'waiting' && ahead <= input.settings.ahead ? { waiting } : { waiting, ahead }
  const left = over({ settings: { ...input.settings, ...settings } })
  if (left >= need) return null
  const held =
    window.earliestBy === 'waiting'
      ? `the driver then holds ${count(waiting)} calls instead of ${count(input.settings.waiting)}`
      : `${seconds(ahead)} ahead instead of ${seconds(input.settings.ahead)}`
  const rest = left > 0 ? `; ${seconds(left)} are still over` : ''
  const text = input.notes.calls[calls[core]!]!.text
  return {
    kind: 'sooner',
    call: calls[core]!,
    settings,
    left,
    sentence: `Start "${text}" ${seconds(need - left)} sooner: ${held}${rest}.`,
  }
}

/** Slowest limit that is offered, m/s, and how finely it is sought: nobody rehearses slower than a bicycle, nor holds a speed closer. */
const SLOWEST: MetresPerSecond = 5
const CLOSE: MetresPerSecond = 0.02

/** The highest limit on the stretch from where the first call is begun to the last call's place at which all of them fit, by bisection. */
function slower(range: Range, profileWith?: (limit: SpeedLimit) => SpeedProfile): WayOut | null {
  if (!profileWith) return null
  const { input, calls, first, last, windows, units, over } = range
  const { profile } = input
  const begun = stationAt(profile, windows[0]!.earliest)
  const from = Math.floor(Math.min(begun, input.placement.calls[calls[first]!]!.from) / 10) * 10
  const to = Math.ceil(Math.max(from + 10, input.placement.calls[calls[last]!]!.to) / 10) * 10
  let top = 0
  for (let i = Math.floor(from / profile.step); i < Math.min(profile.speed.length, to / profile.step); i++)
    top = Math.max(top, profile.speed[i]!)
  let low = SLOWEST
  let high = top
  if (low >= high || over({ profile: profileWith({ from, to, speed: low }) }) > 0) return null
  while (high - low > CLOSE) {
    const middle = (low + high) / 2
    if (over({ profile: profileWith({ from, to, speed: middle }) }) > 0) high = middle
    else low = middle
  }
  const told = { units }
  return {
    kind: 'slower',
    from,
    to,
    speed: low,
    left: 0,
    sentence: `Drive from ${place(from, told)} to ${place(to, told)} at no more than ${speed(low, told, 1)}; you reach ${speed(top, told, 1)} there now.`,
  }
}
