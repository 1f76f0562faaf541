import { beforeAll, describe, expect, it } from 'vitest'
import { cabinNoise } from '../../../client/microphone/cabin.ts'
import { type HeardCall, hearTake, LiveHearing } from '../../../client/microphone/hearTake.ts'
import { HEARING_RATE, melFramesOf } from '../../../client/microphone/melFrames.ts'
import { surroundingsOf } from '../../../client/microphone/surroundings.ts'
import type { Script } from '../../../client/microphone/templates.ts'
import { openEmbeddedEngine } from '../../../server/speech/embeddedEngine.ts'
import { embeddedTake } from '../../reading/embeddedTake.ts'
import { planOfTake } from '../../reading/planOfTake.ts'
import { bandPower, type PlanOfCall } from '../../reading/syntheticTake.ts'
import { seededRandom } from '../../seededRandom.ts'

const CALLS = 16
/** The reader says the first half of the calls, then nothing. */
const READ = CALLS / 2

let plan: PlanOfCall[]
let script: Script
let speech: Float32Array
let seconds: number

beforeAll(async () => {
  const engine = openEmbeddedEngine()
  const made = await planOfTake(CALLS, 3, engine)
  plan = made.plan
  script = made.script
  seconds = plan.at(-1)!.start + 4
  speech = await embeddedTake(plan.slice(0, READ), seconds, engine)
  await engine.close()
}, 60_000)

/** The take in a cabin whose noise is so many dB under the speech, 300–3400 Hz. */
function inCabin(snr: number, seed: number): Float32Array {
  const noise = cabinNoise(seconds, HEARING_RATE, seededRandom(seed))
  const end = plan[READ]!.start
  const gain = Math.sqrt(bandPower(speech, (t) => t < end) / bandPower(noise, () => true)) * 10 ** (-snr / 20)
  return speech.map((v, i) => v + gain * noise[i]!)
}
const heard = (calls: readonly Pick<HeardCall, 'call' | 'confidence'>[]) =>
  calls.filter((one) => one.confidence >= 0).map((one) => one.call)
function live(sound: Float32Array): number[] {
  const told: { call: number; confidence: number }[] = []
  const { level } = surroundingsOf(melFramesOf(sound))
  new LiveHearing(script, level, (call) => told.push(call)).push(sound)
  return heard(told)
}
const first = Array.from({ length: READ }, (_, i) => i)

describe('cabin noise alone', () => {
  it.each([1, 2])('is never heard as a call (seed %d)', (seed) => {
    const { calls } = hearTake(cabinNoise(seconds, HEARING_RATE, seededRandom(seed)), script)
    expect(heard(calls)).toEqual([])
  })

  it('is not heard after the reader falls silent, while every call before is', () => {
    expect(heard(hearTake(inCabin(5, 4), script).calls)).toEqual(first)
  })

  it('is never told as a call while the take goes on', () => {
    expect(live(cabinNoise(seconds, HEARING_RATE, seededRandom(5)))).toEqual([])
    expect(Math.max(...live(inCabin(5, 6)))).toBeLessThan(READ)
  }, 60_000)
})
