import { describe, expect, it } from 'vitest'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { explainCalls } from '../../../server/calls/explain.ts'
import type { CallSettings } from '../../../server/calls/plan.ts'
import { planCalls } from '../../../server/calls/planCalls.ts'
import { profileOf } from '../../../server/speed/solveProfile.ts'
import { pointForces } from '../../../server/speed/tyreForces.ts'
import { syntheticStage } from '../../syntheticStage.ts'
import { flatRoad } from '../speed/flatRoad.ts'

/** The closed-form road of tests/reference/speedProfile.test.ts with one call: braking begins at 141.07 m, 58.93 m before the bend, at 38.87 m/s = 139.9 km/h. */
function oneCall(changed: Partial<CallSettings> = {}) {
  const stage = syntheticStage(1, 1)
  const note = stage.notes.calls[0]!
  const elements = [
    {
      ...note.elements[0]!,
      text: '2 left',
      meaning: { is: 'corner', side: 'left', grade: { name: '2', radius: 50, angle: 1 } } as const,
    },
  ]
  const placed = {
    ...stage.placement.calls[0]!,
    from: 200,
    to: 260,
    parts: [{ from: 200, to: 260, radius: 50, element: null }],
    stations: [200],
  }
  return {
    notes: { ...stage.notes, calls: [{ ...note, elements }] },
    placement: { ...stage.placement, calls: [placed] },
    durations: [{ duration: 1.4, elementEnds: [1.4] }],
    profile: profileOf(flatRoad(500, [[200, 260, 50]]), pointForces({ drive: 5, tyre: 9, topSpeed: 60 }), {
      entry: 10,
      line: 1,
    }),
    settings: { ...DEFAULT_CALL_SETTINGS, ...changed },
  }
}

describe('explainCalls', () => {
  it('tells the braking, the reaction and the saying with their numbers', () => {
    const input = oneCall()
    expect(explainCalls(input, planCalls(input))[0]![0]).toBe(
      'Brake for the 2 at 200 m from 140 km/h: 59 m of braking, 0.75 s to react, 1.4 s to say.',
    )
  })

  it('speaks miles to those who drive by them', () => {
    const input = oneCall()
    expect(explainCalls(input, planCalls(input), 'miles')[0]![0]).toContain('at 219 yd from 87 mph: 64 yd of braking')
  })

  it('says what keeps it from starting sooner', () => {
    const ahead = oneCall()
    expect(explainCalls(ahead, planCalls(ahead))[0]![1]).toMatch(/^Not before -2\.2 s: that is 8 s before/)
    const before = oneCall({ ahead: 60 })
    expect(explainCalls(before, planCalls(before))[0]![1]).toBe(
      'Not before -10.0 s: reading begins 10 s before the start.',
    )
  })

  it('says how late a call is and what was said instead', () => {
    const stage = syntheticStage(60, 2, { word: 0.42 })
    const profile = profileOf(stage.cells, pointForces({ drive: 5, tyre: 6, topSpeed: 50 }), {})
    const input = { ...stage, profile, settings: DEFAULT_CALL_SETTINGS }
    const plan = planCalls(input)
    const told = explainCalls(input, plan)
    plan.calls.forEach((call, i) => {
      expect(told[i]!.length).toBe(call.late > 0 ? 3 : 2)
      if (call.late > 0) expect(told[i]![2]).toMatch(/^[\d.]+ s late: /)
    })
    expect(plan.calls.some((call) => call.late > 0)).toBe(true)
  })

  it('counts the calls that wait', () => {
    const stage = syntheticStage(60, 2, { straight: 0 })
    const profile = profileOf(stage.cells, pointForces({ drive: 5, tyre: 9, topSpeed: 60 }), {})
    const input = { ...stage, profile, settings: { ...DEFAULT_CALL_SETTINGS, waiting: 2 } }
    expect(explainCalls(input, planCalls(input)).flat().join('\n')).toContain('two calls are already waiting.')
  })
})
