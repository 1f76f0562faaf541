import { describe, expect, it } from 'vitest'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import type { CallDuration } from '../../../server/calls/plan.ts'
import { planCalls } from '../../../server/calls/planCalls.ts'
import { type WayOut, waysOut } from '../../../server/calls/waysOut.ts'
import { findCar } from '../../../server/speed/cars.ts'
import { limitedCells, type SpeedLimit } from '../../../server/speed/limitedCells.ts'
import { solveProfile } from '../../../server/speed/solveProfile.ts'
import { findSurface } from '../../../server/speed/surfaces.ts'
import { syntheticStage } from '../../syntheticStage.ts'
import { stretched } from './stretched.ts'

const stage = syntheticStage(150, 1, { word: 0.41 })
const profileAt = (commitment: number) =>
  solveProfile({ cells: stage.cells, car: findCar('four-wheel-drive'), surface: findSurface('gravel'), commitment })
const profileWith = (limit: SpeedLimit) =>
  solveProfile({
    cells: limitedCells(stage.cells, [limit]),
    car: findCar('four-wheel-drive'),
    surface: findSurface('gravel'),
    commitment: 0.85,
  })
const input = { ...stage, profile: profileAt(0.85), settings: DEFAULT_CALL_SETTINGS }
const [crunch] = planCalls(input).crunches
const ways = waysOut(input, crunch!, { profileWith })
const way = <K extends WayOut['kind']>(kind: K) => ways.find((one) => one.kind === kind) as Extract<WayOut, { kind: K }>
/** Worst lateness of the crunch's calls when the plan is made again. */
const worst = (changed: Partial<typeof input>) =>
  Math.max(
    ...planCalls({ ...input, ...changed })
      .calls.slice(crunch!.first, crunch!.last + 1)
      .map((call) => call.late),
  )

describe('waysOut', () => {
  it('names words whose leaving out mends the crunch', () => {
    const { drops, left } = way('shorten')
    const durations: CallDuration[] = [...stage.durations]
    for (const { call, element } of drops) durations[call] = stretched(durations[call]!, element, 0)
    expect(left).toBe(0)
    expect(worst({ durations })).toBeLessThanOrEqual(0.003)
  })

  it('never drops what must be said, nor what the crew wants kept', () => {
    const kept = waysOut(input, crunch!, { keep: new Set(['rocks outside on exit']) })
    for (const one of [...ways, ...kept]) {
      if (one.kind !== 'shorten') continue
      for (const { call, element } of one.drops)
        expect(stage.notes.calls[call]!.elements[element]!.drop).toBeGreaterThan(0)
    }
    expect(kept.flatMap((one) => (one.kind === 'shorten' ? one.drops : [])).map((drop) => drop.text)).not.toContain(
      'rocks outside on exit',
    )
  })

  it('gives the pace at which it can be said', () => {
    const { rate, sentence } = way('faster')
    const durations = stage.durations.map((one) => ({
      duration: one.duration / rate,
      elementEnds: one.elementEnds.map((end) => end! / rate),
    }))
    expect(worst({ durations })).toBeLessThanOrEqual(0.003)
    expect(sentence).toContain(`× ${(Math.ceil(rate * 100) / 100).toFixed(2)}`)
  })

  it('says what must be held in mind for the first call to start sooner', () => {
    const { settings } = way('sooner')
    expect(worst({ settings: { ...input.settings, ...settings } })).toBeLessThanOrEqual(0.003)
  })

  it('gives the limit on a stretch, solved afresh, at which nothing there is late', () => {
    const { from, to, speed, sentence } = way('slower')
    expect(worst({ profile: profileWith({ from, to, speed }) })).toBeLessThanOrEqual(0.003)
    expect(worst({ profile: profileWith({ from, to, speed: speed + 0.1 }) })).toBeGreaterThan(0.002)
    expect(sentence).toMatch(/^Drive from \d+ m to \d+ m at no more than [\d.]+ km\/h/)
  })

  it('puts what is enough by itself before what is not', () => {
    const enough = ways.map((one) => one.left === 0)
    expect(enough).toEqual([...enough].sort((a, b) => Number(b) - Number(a)))
  })

  it('refuses a crunch of other calls', () => {
    expect(() => waysOut(input, { ...crunch!, first: 900 })).toThrow(/crunch 900/)
  })
})
