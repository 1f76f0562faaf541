import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { type Alignment, align, type Place } from '../../server/placement/align.ts'
import type { CallView } from '../../server/placement/callView.ts'
import { hasShared, sharedPath } from '../sharedData.ts'

interface Case {
  readonly name: string
  readonly length: number
  readonly startDistance: number | null
  readonly calls: readonly {
    text: string
    kind: 'corner' | 'crest'
    grade: string | null
    direction: 'left' | 'right' | null
    long: 0 | 1 | 2
    change: { type: 'tightens' | 'opens'; to: string | null } | null
    crest: boolean
    distance: number | null
    link: string | null
  }[]
  readonly features: readonly {
    kind: 'corner' | 'crest'
    direction?: 'left' | 'right'
    from: number
    to: number
    radius?: number
    angle?: number
  }[]
  readonly anchors: Readonly<Record<string, number>>
  /** Places of each call, or, where nothing can tell, words that say so. */
  readonly expect: readonly string[] | string
  readonly posterior: readonly Readonly<Record<string, number>>[]
}
const file = hasShared ? JSON.parse(readFileSync(sharedPath('placement-cases.json'), 'utf8')) : { cases: [] }
const cases: readonly Case[] = file.cases

/** Default radii (from memory). */
const RADII: Readonly<Record<string, number>> = {
  flat: 250,
  '6': 150,
  '5': 100,
  '4': 65,
  '3': 42,
  '2': 27,
  '1': 17,
  square: 12,
  hairpin: 8,
}
const grade = (name: string) => ({ name, radius: RADII[name] ?? 55, angle: name === 'hairpin' ? 2.8 : 0.8 })

function view(call: Case['calls'][number]): CallView {
  const change =
    call.change === null
      ? null
      : { sense: call.change.type, grade: call.change.to === null ? null : grade(call.change.to), element: 1 }
  return {
    kind: call.kind,
    side: call.direction,
    grade: call.grade === null ? null : grade(call.grade),
    long: call.long,
    hairpin: call.grade === 'hairpin',
    flat: call.grade === 'flat',
    change,
    crest: call.crest || call.kind === 'crest',
    usualAngle: call.grade === 'hairpin' ? 2.8 : call.long === 2 ? 2.6 : call.long === 1 ? 1.5 : 0.9,
    distance: call.distance ?? 0,
    link: call.link === null ? null : 12,
  }
}

const END: CallView = {
  kind: 'start',
  side: null,
  grade: null,
  long: 0,
  hairpin: false,
  flat: false,
  change: null,
  crest: false,
  usualAngle: 0,
  distance: 0,
  link: null,
}

describe.skipIf(!hasShared)('placement-cases.json', () => {
  for (const one of cases) {
    it(one.name, () => {
      const places: Place[] = [
        { from: 0, to: 0, feature: null, end: true },
        ...one.features.map(
          (f): Place => ({
            from: f.from,
            to: f.to,
            end: false,
            feature:
              f.kind === 'corner'
                ? { kind: 'corner', side: f.direction!, from: f.from, to: f.to, radius: f.radius!, angle: f.angle! }
                : { kind: 'crest', from: f.from, to: f.to, at: (f.from + f.to) / 2, radius: 100, drawn: false },
          }),
        ),
        { from: one.length, to: one.length, feature: null, end: true },
      ]
      const calls = [
        { ...END, distance: one.startDistance ?? 0 },
        ...one.calls.map(view),
        { ...END, kind: 'finish' as const },
      ]
      const anchors = new Map(Object.entries(one.anchors).map(([call, feature]) => [Number(call), feature]))
      const found = align({ calls, places, anchors, scale: { mu: new Map(), sigma: 0.25, odometer: 1 }, rounding: 10 })
      if (typeof one.expect !== 'string')
        expect(found.places.slice(1, -1).map((on) => (on.length === 0 ? 'skip' : on.join('-')))).toEqual(one.expect)
      expect(one.posterior.length).toBe(one.calls.length)
      one.posterior.forEach((by, i) => {
        for (const [place, mass] of Object.entries(by))
          expect(Math.abs(massOf(found, i + 1, place) - mass), `call ${i + 1} on ${place}`).toBeLessThan(CLOSE)
      })
    })
  }
})

/** Posteriors of the cases are from enumeration with the prototype's constants; the file says to compare with 0.01. */
const CLOSE = 0.01

function massOf(found: Alignment, call: number, place: string): number {
  const nodes = found.nodes[call]!
  if (place === 'skip') return 1 - nodes.reduce((sum, node) => sum + node.mass, 0)
  return nodes.filter((node) => node.places.join('-') === place).reduce((sum, node) => sum + node.mass, 0)
}
