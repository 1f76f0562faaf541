import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { callWindows, type ElementDuty, type TimedCall } from '../../server/calls/callWindows.ts'
import { profileOf } from '../../server/speed/solveProfile.ts'
import { pointForces } from '../../server/speed/tyreForces.ts'
import { hasShared, sharedPath } from '../sharedData.ts'

interface Case {
  readonly id: string
  readonly title: string
  readonly tolerance?: number
  readonly input: {
    readonly settings: {
      reaction: number
      prep: number
      waiting: number
      ahead: number
      lead: number
      gap: number
      before: number
    }
    readonly car: { entry: number; drive: number; tyre: number; top: number }
    readonly length: number
    readonly bends: readonly (readonly [number, number, number])[]
    readonly calls: readonly {
      from: number
      to: number
      crest?: number
      dur: number
      elements: readonly { kind: string; end: number; from?: number; to?: number }[]
    }[]
  }
  readonly expect: {
    readonly time: number
    readonly calls: readonly {
      actBy: number
      latest: number
      earliest: number
      preferred: number
      elements: readonly ({ actBy: number; deadline: number } | null)[]
    }[]
  }
}

const cases: readonly Case[] = hasShared ? JSON.parse(readFileSync(sharedPath('windows-cases.json'), 'utf8')).cases : []

function windowsOf(one: Case) {
  const { input } = one
  const curvature = new Float64Array(input.length)
  for (const [from, to, radius] of input.bends) curvature.fill(1 / radius, from, to)
  const flat = () => new Float64Array(input.length)
  const cells = { step: 1, curvature, slope: flat(), vertical: flat() }
  const forces = pointForces({ drive: input.car.drive, tyre: input.car.tyre, topSpeed: input.car.top })
  const profile = profileOf(cells, forces, { entry: input.car.entry, line: 1 })
  const { prep, ...settings } = input.settings
  const durations = input.calls.map((call) => ({
    duration: call.dur,
    elementEnds: call.elements.map((element) => element.end),
  }))
  return {
    profile,
    windows: callWindows(input.calls.map(timed), durations, profile, {
      ...settings,
      preparation: prep,
      deadlines: 'role',
    }),
  }
}

function timed(call: Case['input']['calls'][number]): TimedCall {
  const rest = call.elements.find((element) => element.from !== undefined && element.kind !== 'crest')
  const split = rest?.from
  const parts =
    split === undefined
      ? [{ from: call.from, to: call.to }]
      : [
          { from: call.from, to: split },
          { from: split, to: call.to },
        ]
  return { from: call.from, to: call.to, parts, duties: call.elements.map(dutyOf) }
}

function dutyOf(element: { kind: string; from?: number }): ElementDuty {
  switch (element.kind) {
    case 'link':
      return { by: 'none' }
    case 'distance':
      return { by: 'exit' }
    case 'tightens':
      return { by: 'tightens', part: 1 }
    case 'opens':
      return { by: 'opens', part: 1 }
    case 'crest':
      return { by: 'crest', station: element.from! }
    case 'corner':
    case 'warning':
    case 'feature':
      return { by: 'call' }
    default:
      return { by: 'turn-in' }
  }
}

describe.skipIf(!hasShared)('windows-cases.json', () => {
  for (const one of cases) {
    const tolerance = one.tolerance ?? 0.03
    const near = (value: number | null, expected: number) =>
      expect(Math.abs(value! - expected), `${value} for ${expected}`).toBeLessThanOrEqual(tolerance)
    it(`${one.id}: ${one.title}`, () => {
      const { profile, windows } = windowsOf(one)
      near(profile.duration, one.expect.time)
      one.expect.calls.forEach((expected, i) => {
        const window = windows[i]!
        near(window.actBy, expected.actBy)
        near(window.latest, expected.latest)
        near(window.earliest, expected.earliest)
        near(window.preferred, expected.preferred)
        expected.elements.forEach((element, e) => {
          if (element === null) expect(window.elements[e]!.deadline).toBeNull()
          else near(window.elements[e]!.deadline, element.deadline)
        })
      })
    })
  }
})
