import { describe, expect, it } from 'vitest'
import { SoundCheck, voiceLeaks } from '../../../client/microphone/soundCheck.ts'
import { seededNormal, seededRandom } from '../../seededRandom.ts'

const report = (more: Partial<Parameters<SoundCheck['push']>[0]> = {}) => ({
  rms: 0.05,
  peak: 0.2,
  clipped: 0,
  dropped: 0,
  ...more,
})
const warningsOf = (...reports: ReturnType<typeof report>[]) => {
  const check = new SoundCheck()
  for (const one of reports) for (let i = 0; i < 300; i++) check.push(one)
  return check.warnings('headset').join(' ')
}

describe('what was wrong with the sound, in words', () => {
  it('is nothing for a good one', () => expect(warningsOf(report())).toBe(''))
  it('names the microphone that gave no sound', () =>
    expect(warningsOf(report({ peak: 0 }))).toMatch(/no sound at all came from "headset"/))
  it('says that it was clipped', () => expect(warningsOf(report({ peak: 1, clipped: 8 }))).toMatch(/clipped/))
  it('counts blocks lost during the take, not before it', () => {
    expect(warningsOf(report({ dropped: 5 }))).toBe('')
    expect(warningsOf(report({ dropped: 5 }), report({ dropped: 8 }))).toMatch(/3 blocks/)
  })
})

describe('the reference voice in the microphone', () => {
  it('is known by starts that keep one distance from what was played', () => {
    expect(voiceLeaks([0.082, 0.08, 0.079, 0.081, 0.085, 0.08, 0.4])).toBe(true)
  })
  it('is not taken for a person, whose starts spread by tenths of a second', () => {
    const random = seededRandom(4)
    expect(voiceLeaks(Array.from({ length: 60 }, () => 0.4 * seededNormal(random)))).toBe(false)
  })
})
