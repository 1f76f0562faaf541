import { expect, it } from 'vitest'
import { BANDS } from '../../../client/microphone/melFrames.ts'
import { ownTemplates } from '../../../client/microphone/ownVoice.ts'
import type { Template } from '../../../client/microphone/templates.ts'

const frames = (count: number, value: number) => new Float32Array(count * BANDS).fill(value)
const voice: Template = { call: 0, frames: frames(20, -8), boundaries: [9] }
const level = new Float32Array(BANDS).fill(-5)
const take = (confidence: number, value = -12) => ({
  frames: frames(100, value),
  level: new Float32Array(BANDS).fill(-9),
  calls: [{ call: 0, from: 0.4, to: 1.0, kind: 'read' as const, confidence }],
})

it("takes the reader's own sure reading, at the loudness of the rest, word ends in proportion", () => {
  const [own] = ownTemplates([voice], level, [take(0.2)])
  expect([own!.frames.length / BANDS, own!.frames[0], own!.boundaries]).toEqual([30, -8, [14]])
})

it('keeps the voice where a reading was not sure, or far too long or short', () => {
  const short = { ...take(0.2), calls: [{ call: 0, from: 0.4, to: 0.5, kind: 'read' as const, confidence: 0.2 }] }
  expect(ownTemplates([voice], level, [take(0.05), short])).toEqual([voice])
})

it('prefers the newest take', () => {
  const [own] = ownTemplates([voice], level, [take(0.2, -12), take(0.2, -11)])
  expect(own!.frames[0]).toBe(-7)
})
