import { beforeAll, describe, expect, it } from 'vitest'
import { cabinNoise } from '../../../client/microphone/cabin.ts'
import { hearFrames } from '../../../client/microphone/hearTake.ts'
import type { ListenHere } from '../../../client/microphone/listenHere.ts'
import { HEARING_RATE, melFramesOf } from '../../../client/microphone/melFrames.ts'
import { PRICES } from '../../../client/microphone/prices.ts'
import type { Script } from '../../../client/microphone/templates.ts'
import { openEmbeddedEngine } from '../../../server/speech/embeddedEngine.ts'
import { embeddedTake } from '../../reading/embeddedTake.ts'
import { planOfTake } from '../../reading/planOfTake.ts'
import type { PlanOfCall } from '../../reading/syntheticTake.ts'
import { seededRandom } from '../../seededRandom.ts'

const CALLS = 24
/** Read with the other side. */
const MISREAD = 11

let plan: PlanOfCall[]
let script: Script
let wrong: Float32Array
let offered: readonly ListenHere[]
let offeredWhenRight: readonly ListenHere[]
let instead: string

const other = (word: string) => (word === 'left' ? 'right' : word === 'right' ? 'left' : word)
const listen = (sound: Float32Array) =>
  hearFrames(
    melFramesOf(sound),
    script,
    PRICES,
    plan.map(({ words }) => words.join(' ')),
  ).listen

beforeAll(async () => {
  const engine = openEmbeddedEngine()
  const made = await planOfTake(CALLS, 4, engine)
  plan = made.plan
  script = made.script
  const seconds = plan.at(-1)!.start + 4
  const read = plan.map((call, i) => (i === MISREAD ? { ...call, words: call.words.map(other) } : call))
  instead = read[MISREAD]!.words.join(' ')
  offeredWhenRight = listen(await embeddedTake(plan, seconds, engine))
  wrong = await embeddedTake(read, seconds, engine)
  offered = listen(wrong)
  await engine.close()
}, 120_000)

describe('"listen here"', () => {
  it('offers the call that was read with the other side, and what it may have been', () => {
    expect(offered.map((one) => [one.call, one.instead])).toContainEqual([MISREAD, instead])
  })

  it('offers nothing about that call when it was read as written', () => {
    expect(offeredWhenRight.map((one) => one.call)).not.toContain(MISREAD)
  })

  it('says nothing in noise', () => {
    const noise = cabinNoise(wrong.length / HEARING_RATE, HEARING_RATE, seededRandom(1))
    expect(listen(wrong.map((v, i) => v + 0.3 * (noise[i] ?? 0)))).toEqual([])
  })
})
