import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { planCalls } from '../../../server/calls/planCalls.ts'
import { findCar } from '../../../server/speed/cars.ts'
import { solveProfile } from '../../../server/speed/solveProfile.ts'
import { findSurface } from '../../../server/speed/surfaces.ts'
import { hasShared, sharedPath } from '../../sharedData.ts'
import { syntheticStage } from '../../syntheticStage.ts'

const settings = DEFAULT_CALL_SETTINGS

function planned(seed: number, word = 0.28) {
  const stage = syntheticStage(80, seed, { word })
  const profile = solveProfile({
    cells: stage.cells,
    car: findCar('four-wheel-drive'),
    surface: findSurface('gravel'),
    commitment: 0.85,
  })
  return { ...stage, profile, settings }
}

describe('planCalls', () => {
  for (const { seed, word } of [
    { seed: 1, word: 0.28 },
    { seed: 2, word: 0.41 },
    { seed: 3, word: 0.6 },
  ]) {
    it.skipIf(!hasShared)(
      `makes a plan that an outside check finds legal and optimal (seed ${seed}, ${word} s a word)`,
      () => {
        const folder = mkdtempSync(join(tmpdir(), 'say-when-plan-'))
        try {
          const file = join(folder, 'plan.json')
          writeFileSync(file, JSON.stringify(planCalls(planned(seed, word))))
          const report = execFileSync(process.execPath, [sharedPath('check-plan.mjs'), file, '--optimal'], {
            encoding: 'utf8',
          })
          expect(report.trim().endsWith('OK')).toBe(true)
        } finally {
          rmSync(folder, { recursive: true })
        }
      },
    )
  }

  it('keeps every start in whole milliseconds', () => {
    for (const call of planCalls(planned(4)).calls)
      expect(call.start * 1000).toBeCloseTo(Math.round(call.start * 1000), 6)
  })

  it('speaks each element before its deadline in every call that is not late', () => {
    for (const call of planCalls(planned(2, 0.41)).calls) {
      if (call.late > 0) continue
      for (const { deadline, spokenAt } of call.elements) {
        if (deadline !== null && spokenAt !== null) expect(spokenAt).toBeLessThanOrEqual(deadline + 0.001)
      }
    }
  })

  it('has every late call inside a crunch, but for rounding', () => {
    const { calls, crunches } = planCalls(planned(2, 0.41))
    const late = calls.filter((call) => call.late > 0.002)
    expect(late.length).toBeGreaterThan(0)
    for (const call of late)
      expect(crunches.some((one) => one.first <= call.index && call.index <= one.last)).toBe(true)
  })

  it('calls a crunch of up to 0.2 s tight', () => {
    for (const crunch of planCalls(planned(1, 0.41)).crunches) expect(crunch.tight).toBe(crunch.over <= 0.2)
  })

  it('plans only the calls asked for, under their own numbers', () => {
    const { durations, ...input } = planned(5)
    const { calls } = planCalls({ ...input, calls: [10, 11, 12], durations: durations.slice(10, 13) })
    expect(calls.map((call) => call.index)).toEqual([10, 11, 12])
  })

  it('still gives a call of links alone a start', () => {
    const input = planned(6)
    const notes = {
      ...input.notes,
      calls: [
        { ...input.notes.calls[0]!, elements: [{ ...input.notes.calls[0]!.elements[0]!, timing: 'none' as const }] },
      ],
    }
    const plan = planCalls({ ...input, notes, durations: [{ duration: 1, elementEnds: [1] }] })
    expect(plan.calls[0]!.late).toBe(0)
  })

  it('has no ceiling and no crunch where nothing is said', () => {
    const plan = planCalls({ ...planned(1), calls: [], durations: [] })
    expect([plan.calls, plan.crunches, plan.ceiling]).toEqual([[], [], null])
  })

  it('refuses durations that are not one a call', () => {
    expect(() => planCalls({ ...planned(1), durations: [] })).toThrow(/0 durations for 80 calls/)
  })
})
