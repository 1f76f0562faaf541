import { resample } from '../../client/microphone/resample.ts'
import { type Script, scriptOf, templateOf } from '../../client/microphone/templates.ts'
import type { SpeechEngine } from '../../server/speech/speechEngine.ts'
import { seededRandom } from '../seededRandom.ts'
import { syntheticCalls } from './syntheticNotes.ts'
import type { PlanOfCall } from './syntheticTake.ts'

/** Seconds before the first call: the count-in. */
const HEAD = 4
const GAP = 0.12
/** Mean of the pause after four in five calls that are not linked, seconds. */
const PAUSE = 1.05

/** A plan of made-up calls timed by the template's voice, and the script a take of it is held against. */
export async function planOfTake(
  count: number,
  seed: number,
  engine: SpeechEngine,
): Promise<{ plan: PlanOfCall[]; script: Script }> {
  const random = seededRandom(seed)
  const plan: PlanOfCall[] = []
  const templates = []
  let at = HEAD
  for (const [i, { words, linked }] of syntheticCalls(count, random).entries()) {
    const { samples, sampleRate, wordEnds } = await engine.speak({ words, voice: 'en', rate: 200, pitch: 50 })
    const sound = Float32Array.from(samples, (v) => v / 32768)
    templates.push(templateOf(i, resample(sound, sampleRate, 16_000), wordEnds))
    plan.push({ words, start: at })
    at += samples.length / sampleRate + GAP
    if (!linked && random() < 0.8) at -= PAUSE * Math.log(1 - random())
  }
  return {
    plan,
    script: scriptOf(
      templates,
      plan.map((call) => call.start),
    ),
  }
}
