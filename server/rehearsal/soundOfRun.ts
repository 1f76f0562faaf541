import { cabinNoise } from '../speech/cabinNoise.ts'
import { loudness } from '../speech/loudness.ts'
import { layInPlace, type RunSound, renderRun } from '../speech/renderRun.ts'
import type { Chapter } from '../speech/soundTags.ts'
import type { SpokenClip } from '../speech/speechEngine.ts'
import type { Sound } from '../speech/wav.ts'
import { speedAt, stationAt, timeAt } from '../speed/stageTime.ts'
import type { Metres, Seconds, StageTime } from '../units.ts'
import { sectionsOf } from './sections.ts'
import type { Rehearsal } from './stage.ts'

export interface SoundOptions {
  /** 'stage' keeps every call at its moment; 'continuous' leaves the silence between calls out. */
  readonly timing?: 'stage' | 'continuous'
  /** Clips of the spoken count, first to last, said a second apart before the start. */
  readonly count?: readonly SpokenClip[]
  /** A soft tick every so many metres of road; only with stage timing. */
  readonly ticks?: Metres | null
  /** Cabin noise so many LU below the voice; only with stage timing. */
  readonly noise?: number | null
  /** Random numbers in [0, 1) for the noise. */
  readonly random?: () => number
  /** Length of a section that gets a chapter of its own. */
  readonly section?: Metres
}

export interface VoicedRun extends RunSound {
  /** Sections of the road by their place in the sound, the first at 0. */
  readonly chapters: readonly Chapter[]
  /** Start and end of every call in the sound, parallel to plan.calls. */
  readonly spans: readonly { readonly from: Seconds; readonly to: Seconds }[]
}

/** Room between the count and a call, and before a chapter's first call. */
const BREATH: Seconds = 0.3

/**
 * A planned run as one sound; the very clips that were measured. With stage timing every call is at its moment and the sound runs to the end of the section;
 * `from` is then the stage time of its first sample. Continuous, calls follow one another by the plan's gap and `from` is 0. The count ends on the start, or
 * before the first call where that comes earlier. Throws RangeError when a clip is gone or an option makes no sense.
 */
export async function soundOfRun(
  rehearsal: Rehearsal,
  clipOf: (hash: string) => Promise<SpokenClip | null>,
  options: SoundOptions = {},
): Promise<VoicedRun> {
  const { profile, plan, run, stage } = rehearsal
  const continuous = options.timing === 'continuous'
  if (continuous && (options.ticks || typeof options.noise === 'number'))
    throw new RangeError('soundOfRun: ticks and noise need stage timing, not continuous')
  const calls = await Promise.all(
    plan.calls.map(async (call, i) => {
      const hash = rehearsal.said[i]!.clip
      const clip = hash === null ? null : await clipOf(hash)
      if (clip === null) throw new RangeError(`soundOfRun: call ${call.index} has no clip; prepare the voice first`)
      return { start: call.start, clip }
    }),
  )
  const since = timeAt(profile, run.from)
  const until = Math.min(profile.duration, timeAt(profile, run.to))
  const laid = continuous ? oneAfterAnother(calls, plan.gap) : calls
  const start = continuous ? 0 : since
  const counted = [...countBefore(options.count ?? [], Math.min(start, laid[0]?.start ?? start)), ...laid]
  const sound = renderRun(counted, continuous ? { since: 0, until: 0 } : { since, until })
  if (options.ticks) addTicksInPlace(sound, rehearsal, options.ticks)
  if (typeof options.noise === 'number') addNoiseInPlace(sound, rehearsal, options.noise, options.random)
  const spans = laid.map(({ start, clip }) => ({
    from: start - sound.from,
    to: start - sound.from + clip.samples.length / clip.sampleRate,
  }))
  const sections = sectionsOf({ from: run.from, to: Math.min(run.to, stage.route.length) }, options.section ?? 1000)
  const chapters = sections.flatMap((section, s): Chapter[] => {
    const first = plan.calls.findIndex((call) => call.station >= section.from && call.station < section.to)
    if (s === 0) return [{ title: section.title, from: 0 }]
    const car = continuous ? Number.POSITIVE_INFINITY : timeAt(profile, section.from) - sound.from
    const voice = first < 0 ? Number.POSITIVE_INFINITY : spans[first]!.from - BREATH
    const from = Math.max(0, Math.min(car, voice))
    return Number.isFinite(from) ? [{ title: section.title, from }] : []
  })
  return { ...sound, from: continuous ? 0 : sound.from, chapters: inOrder(chapters), spans }
}

function oneAfterAnother(calls: readonly { start: StageTime; clip: SpokenClip }[], gap: Seconds) {
  let at = 0
  return calls.map(({ clip }) => {
    const start = at as StageTime
    at += clip.samples.length / clip.sampleRate + gap
    return { start, clip }
  })
}

/** The count a second apart, its last word over a breath before `before`. */
function countBefore(count: readonly SpokenClip[], before: StageTime) {
  const last = count.at(-1)
  if (!last) return []
  const end = before - BREATH - last.samples.length / last.sampleRate
  return count.map((clip, i) => ({ start: (end - (count.length - 1 - i)) as StageTime, clip }))
}

/** A call may begin before that of the section before it: chapters still begin in order. */
function inOrder(chapters: readonly Chapter[]): Chapter[] {
  let least = 0
  return chapters.map((chapter) => {
    least = Math.max(least, chapter.from)
    return { ...chapter, from: least }
  })
}

/** 40 ms of 1,760 Hz, quiet beside a voice [chosen]. */
function tickSound(sampleRate: number): Sound {
  const samples = new Int16Array(Math.round(0.04 * sampleRate))
  for (let i = 0; i < samples.length; i++) {
    const fade = Math.sin((Math.PI * i) / samples.length) ** 2
    samples[i] = Math.round(2200 * fade * Math.sin((2 * Math.PI * 1760 * i) / sampleRate))
  }
  return { sampleRate, samples }
}

function addTicksInPlace(sound: RunSound, { profile, run, stage }: Rehearsal, every: Metres): void {
  if (!(every >= 10)) throw new RangeError(`soundOfRun: ticks must be at least 10 m apart, got ${every}`)
  const tick = tickSound(sound.sampleRate)
  const end = Math.min(run.to, stage.route.length)
  for (let station = Math.ceil(run.from / every) * every; station <= end; station += every) {
    if (station === 0) continue
    layInPlace(sound.samples, Math.round((timeAt(profile, station) - sound.from) * sound.sampleRate), tick.samples)
  }
}

function addNoiseInPlace(sound: RunSound, { profile }: Rehearsal, below: number, random?: () => number): void {
  if (!(below >= 0 && below <= 60)) throw new RangeError(`soundOfRun: noise must be 0 to 60 LU below, got ${below}`)
  if (!random) throw new RangeError('soundOfRun: noise needs random numbers')
  const voice = loudness(sound.samples, sound.sampleRate)
  if (!Number.isFinite(voice)) return
  const noise = cabinNoise({
    samples: sound.samples.length,
    sampleRate: sound.sampleRate,
    speedAt: (seconds) => speedAt(profile, stationAt(profile, (sound.from + seconds) as StageTime)),
    top: profile.speed.reduce((most, speed) => Math.max(most, speed), 1),
    random,
  })
  const rough = new Int16Array(noise.length)
  for (let i = 0; i < noise.length; i++) rough[i] = Math.max(-32768, Math.min(32767, Math.round(noise[i]! * 3000)))
  const gain = 3000 * 10 ** ((voice - below - loudness(rough, sound.sampleRate)) / 20)
  for (let i = 0; i < noise.length; i++)
    sound.samples[i] = Math.max(-32768, Math.min(32767, Math.round(sound.samples[i]! + noise[i]! * gain)))
}
