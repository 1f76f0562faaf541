import { expect, it } from 'vitest'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { planCalls } from '../../../server/calls/planCalls.ts'
import { CARS } from '../../../server/speed/cars.ts'
import { solveTarget } from '../../../server/speed/solveTarget.ts'
import { SURFACES } from '../../../server/speed/surfaces.ts'
import { syntheticStage } from '../../syntheticStage.ts'

// The first call of a section was once said minutes early: the corners before it were braked for in its name.
it('acts for the first call of a section when it acts for it in the whole stage', () => {
  const { notes, placement, cells, durations } = syntheticStage(40, 5)
  const profile = solveTarget(cells, CARS[0]!, SURFACES[0]!, { kind: 'commitment', commitment: 0.8 })
  const settings = DEFAULT_CALL_SETTINGS
  const whole = planCalls({ notes, placement, profile, durations, settings })
  const calls = notes.calls.map((call) => call.index).filter((call) => call >= 20)
  const part = planCalls({ notes, placement, profile, calls, durations: durations.slice(20), settings })
  expect(part.calls.map((call) => call.actBy)).toEqual(whole.calls.slice(20).map((call) => call.actBy))
})
