import { beforeAll, describe, expect, it } from 'vitest'
import { soundOfRun } from '../../../server/rehearsal/soundOfRun.ts'
import { loudness } from '../../../server/speech/loudness.ts'
import type { SpokenClip } from '../../../server/speech/speechEngine.ts'
import { timeAt } from '../../../server/speed/stageTime.ts'
import { seededRandom } from '../../seededRandom.ts'
import { demoRun } from '../takealong/demoRun.ts'

const RATE = 8000
/** Says every word as a tone of a fifth of a second: what is where can then be read from the samples. */
const tone = {
  name: 'tone',
  makesClips: true,
  voices: async () => [],
  close: async () => {},
  speak: async ({ words }: { words: readonly string[] }): Promise<SpokenClip> => ({
    sampleRate: RATE,
    samples: Int16Array.from({ length: words.length * 0.2 * RATE }, (_, i) => (i % 8 < 4 ? 8000 : -8000)),
    wordEnds: words.map((_, i) => (i + 1) * 0.2),
    timing: 'engine',
  }),
}
let demo: Awaited<ReturnType<typeof demoRun>>
beforeAll(async () => {
  demo = await demoRun('quarry-steps', tone)
})
const loud = (samples: Int16Array, at: number) => Math.abs(samples[Math.round(at * RATE) + 40]!) > 1000

describe('a run as sound', () => {
  it('has every call at its moment, to the sample', async () => {
    const sound = await soundOfRun(demo.rehearsal, demo.clipOf)
    const starts = demo.rehearsal.plan.calls.map((call) => Math.round((call.start - sound.from) * RATE))
    expect(starts.map((at) => sound.samples[at] !== 0 && sound.samples[at - 1] === 0)).toEqual(starts.map(() => true))
  })
  it('leaves the silence out when continuous', async () => {
    const { spans } = await soundOfRun(demo.rehearsal, demo.clipOf, { timing: 'continuous' })
    const gaps = spans.slice(1).map((span, i) => span.from - spans[i]!.to)
    for (const gap of gaps) expect(gap).toBeCloseTo(demo.rehearsal.plan.gap, 6)
  })
  it('ends the count before the first call', async () => {
    const count = await Promise.all([['two'], ['one']].map((words) => tone.speak({ words })))
    const { samples, spans } = await soundOfRun(demo.rehearsal, demo.clipOf, { count })
    const one = spans[0]!.from - 0.3 - 0.2
    expect([loud(samples, one), loud(samples, one - 1), loud(samples, spans[0]!.from - 0.2)]).toEqual([
      true,
      true,
      false,
    ])
  })
  it('begins a section where the section begins', async () => {
    const part = await demoRun('quarry-steps', tone, { from: 1000, to: 2000 })
    const sound = await soundOfRun(part.rehearsal, part.clipOf)
    const { profile } = part.rehearsal
    expect(sound.from).toBeGreaterThan(timeAt(profile, 1000) - 8)
    expect(sound.samples.length / RATE).toBeLessThan(timeAt(profile, 2000) - timeAt(profile, 1000) + 12)
  })
  it('gives chapters in order, the first at 0', async () => {
    const { chapters } = await soundOfRun(demo.rehearsal, demo.clipOf)
    expect(chapters.map((one) => one.title)).toEqual(['0 to 1 km', '1 to 2 km', '2 to 3 km'])
    expect(chapters[0]!.from).toBe(0)
    expect(chapters.map((one) => one.from)).toEqual(chapters.map((one) => one.from).sort((a, b) => a - b))
  })
  it('ticks where the car passes each distance', async () => {
    const plain = await soundOfRun(demo.rehearsal, demo.clipOf)
    const ticked = await soundOfRun(demo.rehearsal, demo.clipOf, { ticks: 500 })
    const changed = ticked.samples.map((sample, i) => (sample === plain.samples[i] ? 0 : 1))
    const at = Math.round((timeAt(demo.rehearsal.profile, 1500) - plain.from) * RATE)
    expect(changed.subarray(at, at + 0.04 * RATE).some((one) => one === 1)).toBe(true)
    expect(changed.subarray(at - 0.04 * RATE, at - 1).some((one) => one === 1)).toBe(false)
  })
  it('keeps cabin noise so far below the voice', async () => {
    const plain = await soundOfRun(demo.rehearsal, demo.clipOf)
    const noisy = await soundOfRun(demo.rehearsal, demo.clipOf, { noise: 20, random: seededRandom(3) })
    const noise = noisy.samples.map((sample, i) => sample - plain.samples[i]!)
    expect(loudness(noise, RATE) - loudness(plain.samples, RATE)).toBeCloseTo(-20, 0)
  })
  it('refuses noise without stage timing', async () => {
    await expect(soundOfRun(demo.rehearsal, demo.clipOf, { timing: 'continuous', noise: 10 })).rejects.toThrow(
      RangeError,
    )
  })
})
