import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { resample } from '../../../client/microphone/resample.ts'
import { type Script, scriptOf, templateOf } from '../../../client/microphone/templates.ts'
import { RIGHT, recallMargin, WRONG } from '../../../client/rehearsal/memory/recallJudge.ts'
import { openEmbeddedEngine } from '../../../server/speech/embeddedEngine.ts'
import { seededRandom } from '../../seededRandom.ts'

const RATE = 16_000
const CALLS = [
  'five left one fifty',
  'three right long sixty',
  'six left over crest',
  'two right tightens',
  'four left eighty',
  'hairpin right',
  'five left eighty',
]
/** The first and the last mean the same: how far it is to the next one is not what is asked. */
const MEANINGS = ['l 5', 'r 3 long', 'l 6 crest', 'r 2 tightens', 'l 4', 'r hairpin', 'l 5']

const engine = openEmbeddedEngine()
let script: Script

async function say(words: string, voice: string, rate: number, pitch: number): Promise<Float32Array> {
  const { samples, sampleRate } = await engine.speak({ words: words.split(' '), voice, rate, pitch })
  return resample(
    Float32Array.from(samples, (v) => v / 32768),
    sampleRate,
    RATE,
  )
}
beforeAll(async () => {
  const templates = []
  for (const [i, call] of CALLS.entries()) templates.push(templateOf(i, await say(call, 'en', 200, 50), []))
  script = scriptOf(
    templates,
    CALLS.map(() => 0),
  )
})
afterAll(() => engine.close())

/** Another voice says one call in a quiet room, a second in; told a tenth of a second short at either end. */
async function marginOf(said: string, due: number): Promise<number> {
  const random = seededRandom(2)
  const spoken = await say(said, 'gmw/en-US', 215, 60)
  const sound = Float32Array.from({ length: 3 * RATE + spoken.length }, () => (random() - 0.5) * 0.004)
  for (let i = 0; i < spoken.length; i++) sound[RATE + i]! += spoken[i]! * 0.6
  return recallMargin({ sound, from: 1.1, to: 0.9 + spoken.length / RATE, due }, script, MEANINGS)
}

describe('what was recalled', () => {
  it('is right when the call due explains it better than every other of the stage', async () => {
    for (const [due, call] of CALLS.entries()) expect([call, (await marginOf(call, due)) > RIGHT]).toEqual([call, true])
  })

  it('is wrong when another call was said', async () => {
    for (let due = 0; due < 6; due++) {
      const said = CALLS[(due + 2) % 6]!
      expect([said, CALLS[due], (await marginOf(said, due)) < WRONG]).toEqual([said, CALLS[due], true])
    }
  })

  it('is right with another distance, where the meaning is the same', async () => {
    expect(await marginOf('five left eighty', 0)).toBeGreaterThan(RIGHT)
  })
})
