import { describe, expect, it } from 'vitest'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { prepareStage } from '../../../server/rehearsal/prepareStage.ts'
import type { RunSettings } from '../../../server/rehearsal/stage.ts'
import { estimateRun } from '../../../server/rehearsal/voiceRun.ts'
import { speedAt } from '../../../server/speed/stageTime.ts'

const text = "start 200\n3 left long don't cut, 100\n5 right rocks inside, 300\n3 left long don't cut, 60\nfinish"
const stage = prepareStage({ title: 'own', notes: text, route: null, anchors: [], settings: {} })
const usual: RunSettings = {
  target: { kind: 'commitment', commitment: 0.8 },
  wording: 'verbose',
  surface: 'gravel',
  car: 'four-wheel-drive',
  voice: 'en',
  rate: 200,
  pitch: 50,
  calls: DEFAULT_CALL_SETTINGS,
  from: 0,
  to: Number.POSITIVE_INFINITY,
  pins: [],
}
const said = (change: Partial<RunSettings>) => estimateRun(stage, { ...usual, ...change }).said
const cut = (call: number) => stage.notes.calls[call]!.elements.findIndex((one) => one.text.includes('cut'))
const twin = stage.notes.calls.filter((call) => call.text.includes('cut'))

describe('words left out of one call', () => {
  const { index, text: own } = twin[1]!
  it('are left out of that call', () => {
    const leftOut = [{ call: index, text: own, element: cut(index) }]
    expect(said({ leftOut }).find((one) => one.call === index)!.say).not.toContain('cut')
  })

  it('stay in its twin', () => {
    const leftOut = [{ call: index, text: own, element: cut(index) }]
    expect(said({ leftOut }).find((one) => one.call === twin[0]!.index)!.say).toContain('cut')
  })

  it('are found again where the call has moved', () => {
    const leftOut = [{ call: index + 7, text: own, element: cut(index) }]
    expect(said({ leftOut }).find((one) => one.call === index)!.say).not.toContain('cut')
  })

  it('are forgotten where no call reads so any more', () => {
    const leftOut = [{ call: index, text: 'another call', element: 0 }]
    expect(said({ leftOut }).map((one) => one.say)).toEqual(said({}).map((one) => one.say))
  })
})

describe('a limit on a stretch', () => {
  const limited = estimateRun(stage, { ...usual, limits: [{ from: 60, to: 160, speed: 12 }] }).profile
  const free = estimateRun(stage, usual).profile

  it('is kept inside it', () => {
    for (let s = 60; s <= 160; s += 5) expect(speedAt(limited, s)).toBeLessThanOrEqual(12 + 1e-9)
  })

  it('would have been broken without it', () => {
    expect(speedAt(free, 150)).toBeGreaterThan(12)
  })
})

describe('a crew’s own pace', () => {
  it('gives a call of known syllables its length', () => {
    const call = said({ pace: { syllablesPerSecond: 5, pause: 0.2 } })[0]!
    // start two hundred metres: 1 + 1 + 2 + 2 syllables
    expect(call.duration).toBeCloseTo(6 / 5, 9)
  })

  it('is twice as long at half the pace', () => {
    const at = (syllablesPerSecond: number) => said({ pace: { syllablesPerSecond, pause: 0.2 } })[1]!.duration
    expect(at(2.5)).toBeCloseTo(2 * at(5), 9)
  })
})
