import { describe, expect, it } from 'vitest'
import { automaticWording } from '../../../server/calls/automaticWording.ts'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { planCalls } from '../../../server/calls/planCalls.ts'
import { findCar } from '../../../server/speed/cars.ts'
import { solveProfile } from '../../../server/speed/solveProfile.ts'
import { findSurface } from '../../../server/speed/surfaces.ts'
import { syntheticStage } from '../../syntheticStage.ts'

const stage = syntheticStage(80, 2, { word: 0.41 })
const profile = solveProfile({
  cells: stage.cells,
  car: findCar('four-wheel-drive'),
  surface: findSurface('gravel'),
  commitment: 0.85,
})
const input = { notes: stage.notes, placement: stage.placement, profile, settings: DEFAULT_CALL_SETTINGS }
const said = (share: number) =>
  stage.durations.map((one) => ({
    duration: one.duration * share,
    elementEnds: one.elementEnds.map((end) => end! * share),
  }))
const options = [said(1).map((one) => ({ ...one, loss: 0 })), said(0.7).map((one) => ({ ...one, loss: 2 }))]

describe('automaticWording', () => {
  it('leaves nothing late where saying all calls tersely does not, and shortens no more calls than it must', () => {
    const { feasible, choice } = automaticWording({ ...input, options })
    const durations = choice.map((m, i) => options[m]![i]!)
    expect(planCalls({ ...input, durations: options[0]! }).calls.some((call) => call.late > 0)).toBe(true)
    expect(feasible).toBe(true)
    expect(planCalls({ ...input, durations }).calls.every((call) => call.late === 0)).toBe(true)
    expect(choice.filter((m) => m === 1).length).toBeLessThan(choice.length / 3)
  })

  it('keeps a pinned call in full: it carries the same words in every wording', () => {
    const pinned = [options[0]!, options[1]!.map((one, i) => (i % 2 === 0 ? options[0]![i]! : one))]
    const { choice } = automaticWording({ ...input, options: pinned })
    choice.forEach((m, i) => {
      if (i % 2 === 0) expect(pinned[m]![i]!.loss).toBe(0)
    })
  })

  it('refuses to choose among none', () => {
    expect(() => automaticWording({ ...input, options: [] })).toThrow(/no wording to choose from/)
  })
})
