import { practiceDay } from '../drill/practiceDay.ts'
import { walkFrom } from '../drill/walk.ts'
import { LibraryError } from '../library/stageLibrary.ts'
import { type RunSound, renderRun } from '../speech/renderRun.ts'
import type { Seconds } from '../units.ts'
import { BRISK, type LearnDesk } from './learnDesk.ts'

/**
 * The audio-only session of a stage: each call after a gap to say it in, from where the last ride stopped. The voice is the one that is heard in Drive.
 * `calls`: those asked, by index in the notes, in their order.
 */
export async function walkSound(
  desk: LearnDesk,
  stage: string,
  seconds: Seconds,
): Promise<{ sound: RunSound; title: string; calls: number[] }> {
  const none = () => {}
  const plan = await desk.desk.prepareSpeech(stage, {}, none).catch((error: Error) => {
    if (error.name !== 'UnreachableTarget') throw error
    return desk.desk.prepareSpeech(stage, BRISK, none)
  })
  const clips = await Promise.all(
    plan.calls.map((call) => (call.clip === null ? null : desk.desk.clips.get(call.clip))),
  )
  const durations = clips.map((clip) => (clip ? clip.samples.length / clip.sampleRate : 0))
  const ride = desk.ride(stage, practiceDay(desk.now(), desk.zone(stage)))
  const position = Math.max(
    0,
    plan.calls.findIndex((call) => call.index >= ride.position),
  )
  const walk = walkFrom(durations, position, seconds)
  if (walk.length === 0) throw new LibraryError('This stage has no calls yet; write its notes first.', 422)
  // The call that leads in is heard, not asked.
  const asked = walk[0]!.call === position ? walk : walk.slice(1)
  const sound = renderRun(
    walk.map(({ call, start }) => ({ start, clip: clips[call]! })),
    { head: 0 },
  )
  return { sound, title: plan.stage, calls: asked.map(({ call }) => plan.calls[call]!.index) }
}

/** "11-45,0-10" of whole numbers in their order. */
export function ranges(numbers: readonly number[]): string {
  const runs: [number, number][] = []
  for (const one of numbers) {
    const last = runs.at(-1)
    if (last && one === last[1] + 1) last[1] = one
    else runs.push([one, one])
  }
  return runs.map(([from, to]) => `${from}-${to}`).join(',')
}
