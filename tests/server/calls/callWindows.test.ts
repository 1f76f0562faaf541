import { describe, expect, it } from 'vitest'
import { callWindows, type TimedCall } from '../../../server/calls/callWindows.ts'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import type { CallSettings } from '../../../server/calls/plan.ts'
import { profileOf } from '../../../server/speed/solveProfile.ts'
import { pointForces } from '../../../server/speed/tyreForces.ts'
import { flatRoad } from '../speed/flatRoad.ts'

/** A straight at a steady 20 m/s: a place at s metres is reached after s/20 seconds, nothing is braked for. */
const profile = profileOf(flatRoad(1000), pointForces({ drive: 5, tyre: 9, topSpeed: 20 }), { entry: 20, line: 1 })
const said = { duration: 1, elementEnds: [1] }

const callAt = (from: number, duty: TimedCall['duties'][number] = { by: 'call' }): TimedCall => ({
  from,
  to: from + 20,
  parts: [{ from, to: from + 20 }],
  duties: [duty],
})
const windowsOf = (calls: readonly TimedCall[], changed: Partial<CallSettings> = {}) =>
  callWindows(
    calls,
    calls.map(() => said),
    profile,
    { ...DEFAULT_CALL_SETTINGS, ...changed },
  )

describe('callWindows', () => {
  it('counts back from the place: 400 m at 20 m/s, less 0.5 s to be ready, 0.75 s to react, 1 s to say', () => {
    const [window] = windowsOf([callAt(400)])
    expect(window!.latest).toBeCloseTo(20 - 0.5 - 0.75 - 1, 9)
    expect(window!.preferred).toBeCloseTo(window!.latest - 2, 9)
    expect(window!.earliest).toBeCloseTo(19.5 - 8, 9)
  })

  it('lets at most `waiting` moments of action be still to come', () => {
    const calls = [400, 410, 420, 430, 440].map((from) => callAt(from))
    const windows = windowsOf(calls, { waiting: 2 })
    // The fifth may start when the second is acted on: the third and fourth then wait.
    expect(windows[4]!.earliest).toBeCloseTo(410 / 20 - 0.5, 9)
    expect(windows[4]!.earliestBy).toBe('waiting')
  })

  it('counts calls that share a moment once', () => {
    const calls = [400, 400, 400, 400, 440].map((from) => callAt(from))
    expect(windowsOf(calls, { waiting: 2 })[4]!.earliestBy).toBe('ahead')
  })

  it('gives a distance until the end of the bend, without reaction', () => {
    expect(windowsOf([callAt(400, { by: 'exit' })])[0]!.elements[0]!.deadline).toBeCloseTo(21, 9)
  })

  it('gives a link no deadline', () => {
    expect(windowsOf([callAt(400, { by: 'none' })])[0]!.elements[0]).toEqual({
      actBy: null,
      deadline: null,
      place: null,
    })
  })

  it('moves the earliest start not at all when a call is said faster', () => {
    const call = callAt(400)
    const at = (duration: number) =>
      callWindows([call], [{ duration, elementEnds: [duration] }], profile, DEFAULT_CALL_SETTINGS)[0]!.earliest
    expect(at(0.4)).toBe(at(2))
  })

  it('asks for modifiers by the braking when they are wanted strictly', () => {
    const bend = profileOf(flatRoad(500, [[200, 260, 50]]), pointForces({ drive: 5, tyre: 9, topSpeed: 60 }), {
      entry: 10,
      line: 1,
    })
    const call = { from: 200, to: 260, parts: [{ from: 200, to: 260 }], duties: [{ by: 'turn-in' } as const] }
    const deadline = (deadlines: CallSettings['deadlines']) =>
      callWindows([call], [said], bend, { ...DEFAULT_CALL_SETTINGS, deadlines })[0]!.elements[0]!.deadline!
    // windows-cases.json, one-corner: act-by 5.774 s, turn-in 7.735 s.
    expect(deadline('strict')).toBeCloseTo(5.774 - 0.75, 1)
    expect(deadline('role')).toBeCloseTo(7.735 - 0.5 - 0.75, 1)
  })

  it('refuses durations that are not one a call', () => {
    expect(() => callWindows([callAt(400)], [], profile, DEFAULT_CALL_SETTINGS)).toThrow(/0 durations for 1 calls/)
  })
})
