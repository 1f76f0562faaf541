import { describe, expect, it } from 'vitest'
import { parseNotes } from '../../../server/notes/parseNotes.ts'
import { prepareStage } from '../../../server/rehearsal/prepareStage.ts'
import { distanceCostOf } from '../../../server/rehearsal/roadGaps.ts'
import type { Route } from '../../../server/route/route.ts'

const drawn = prepareStage({
  title: 'gaps',
  notes: '100\n4 left 30\n5 right 200\n3 left 80\n6 right 100',
  route: null,
  anchors: [],
  settings: {},
}).route
const road: Route = { ...drawn, source: 'line' }
const corners = road.features.filter((feature) => feature.kind === 'corner')
const middle = (corners[0]!.to + corners[1]!.from) / 2 / road.length
const gap = corners[1]!.from - corners[0]!.to

describe('what a road says of a distance', () => {
  const cost = distanceCostOf(road)!
  it('is nothing against the gap that is there', () => expect(cost(gap, middle)).toBeCloseTo(0, 9))
  it('is one for a factor of e^0.2', () => expect(cost(gap * Math.exp(0.2), middle)).toBeCloseTo(1, 9))
  it('is two at most', () => expect(cost(2000, middle)).toBe(2))
  it('is silent where the road has no gap near', () => expect(cost(500, -0.5)).toBe(0))
  it('is not asked of a road drawn from the notes', () => expect(distanceCostOf(drawn)).toBeUndefined())
  it('settles "34 right" as a 30 m gap and then a 4', () => {
    const lengths = parseNotes('100\n4 left 34 right 200\n3 left 80\n6 right 100', { repair: true, distanceCost: cost })
      .notes.calls.flatMap((call) => call.elements)
      .flatMap(({ meaning }) => (meaning.is === 'distance' ? [meaning.length] : []))
    expect(lengths).toEqual([100, 30, 200, 80, 100])
  })
})
