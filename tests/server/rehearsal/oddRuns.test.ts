import { describe, expect, it } from 'vitest'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { planDocument } from '../../../server/rehearsal/planDocument.ts'
import { prepareStage } from '../../../server/rehearsal/prepareStage.ts'
import type { RunSettings } from '../../../server/rehearsal/stage.ts'
import { estimateRun } from '../../../server/rehearsal/voiceRun.ts'

const usual: RunSettings = {
  target: { kind: 'commitment', commitment: 0.8 },
  wording: 'standard',
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
const CALL = '60, 4 left long'

function planned(notes: string, change: Partial<RunSettings> = {}, length?: number) {
  const stage = prepareStage({ title: 'odd', notes, route: null, anchors: [], settings: { length } })
  return planDocument(estimateRun(stage, { ...usual, ...change }), 5)
}

/** Every number of a document, wherever it stands. */
function numbersOf(value: unknown): number[] {
  if (typeof value === 'number') return [value]
  if (value === null || typeof value !== 'object') return []
  return Object.values(value).flatMap(numbersOf)
}

const odd: Record<string, () => unknown> = {
  'one call': () => planned(CALL),
  'a call longer than the stage': () => planned(`start ${'caution '.repeat(60)} 4 left`, {}, 60),
  '100 calls in 10 m': () => planned(Array.from({ length: 100 }, () => '4 left into 4 right into').join('\n'), {}, 10),
  'reaction time 0': () => planned(CALL, { calls: { ...DEFAULT_CALL_SETTINGS, reaction: 0 } }),
  'reaction time 10 s': () => planned(CALL, { calls: { ...DEFAULT_CALL_SETTINGS, reaction: 10 } }),
  'a wording that drops everything it may': () => planned('over bump\nrocks inside\nlong', { wording: 'terse' }),
  'every word left out': () =>
    planned(CALL, { leftOut: [0, 1, 2].map((element) => ({ call: 0, text: CALL, element })) }),
  'a section with nothing in it': () => planned(`${CALL}\n${CALL}`, { from: 1, to: 2 }),
}

describe('odd runs', () => {
  it.each(Object.entries(odd))('%s: every number is finite', (_, plan) => {
    expect(numbersOf(plan()).every(Number.isFinite)).toBe(true)
  })

  it('neither notes nor a road is one clear sentence', () => {
    expect(() => planned('')).toThrow(/has neither notes nor a road: type or paste notes, or add a route file/)
  })

  it('a call longer than the stage is said to be late', () => {
    const plan = planned(`start ${'caution '.repeat(60)} 4 left`, {}, 60)
    expect(Math.max(...plan.calls.map((call) => call.late))).toBeGreaterThan(1)
  })
})
