import { describe, expect, it } from 'vitest'
import { align } from '../../../server/placement/align.ts'
import { bestPath } from '../../../server/placement/bestPath.ts'
import { callViews } from '../../../server/placement/callView.ts'
import { cutAtDips } from '../../../server/placement/cutAtDips.ts'
import { type AlignInput, groundOf, latticeOf } from '../../../server/placement/lattice.ts'
import { forward } from '../../../server/placement/passes.ts'
import { placesOf } from '../../../server/placement/places.ts'
import { windowsOf } from '../../../server/placement/windows.ts'
import type { CornerFeature, Route } from '../../../server/route/route.ts'
import { calledRoad } from '../../made/calledRoad.ts'
import { scorePlacement } from '../../made/scorePlacement.ts'

const { notes, route, placement } = scorePlacement(calledRoad({ seed: 4, hard: true, spoiled: 0.2, length: 6000 }))
const scale = { mu: new Map<string, number>(), sigma: 0.25, odometer: 1 }
const input: AlignInput = { calls: callViews(notes), ...placesOf(notes, route, [], 1), scale, rounding: 10 }
const ground = groundOf(input)
const whole = latticeOf(input, ground, new Int32Array(ground.N), new Int32Array(ground.N).fill(ground.M - 1))
const found = align(input)

describe('windows', () => {
  it('lose nothing of the evidence', () => {
    expect(found.evidence).toBeCloseTo(forward(whole, true).end.at(-1)!, 6)
  })
  it('lose nothing of the best path', () => {
    expect(found.places).toEqual(bestPath(whole, forward(whole, false)).places)
  })
  it('look at a small share of all places', () => {
    const { lo, hi } = windowsOf(input, ground)
    const looked = lo.reduce((sum, low, i) => sum + hi[i]! - low + 1, 0)
    expect(looked / (ground.N * ground.M)).toBeLessThan(0.5)
  })
})

describe('posteriors', () => {
  it('of one call never add up to more than one', () => {
    const sums = found.nodes.map((nodes) => nodes.reduce((sum, node) => sum + node.mass, 0))
    expect(Math.max(...sums)).toBeLessThan(1 + 1e-9)
  })
  it('of the best path are the greatest of most calls', () => {
    const greatest = found.nodes.filter((nodes, i) => {
      const top = nodes.reduce(
        (best, node) => (node.mass > best.mass ? node : best),
        nodes[0] ?? { places: [], mass: 0 },
      )
      return top.places.join() === found.places[i]!.join()
    })
    expect(greatest.length / found.nodes.length).toBeGreaterThan(0.9)
  })
})

describe('the crew’s scale', () => {
  it('is nearer to what the crew means than the table, over four made stages', () => {
    let fitted = 0
    let table = 0
    for (let seed = 1; seed <= 4; seed++) {
      const stage = calledRoad({ seed, hard: true, length: 5000 })
      for (const row of scorePlacement(stage).placement.gradeScale) {
        if (row.calls < 4 || row.grade === 'hairpin') continue
        const means = stage.scale.get(row.grade)!
        fitted += Math.abs(Math.log(row.radius) - means)
        table += Math.abs(Math.log(row.table!) - means)
      }
    }
    expect(fitted).toBeLessThan(0.75 * table)
  })
  it('tells the share of road features that are called', () => {
    expect(placement.called!.length).toBe(route.features.length)
    expect(placement.called!.every((share) => share >= 0 && share <= 1)).toBe(true)
  })
})

describe('cutAtDips', () => {
  /** Two bumps of curvature 1/40 on one corner, with a dip between them to a share of the peak. */
  const bumps = (dip: number): { road: Route; corner: CornerFeature } => {
    const curvature = Float64Array.from({ length: 61 }, (_, s) => {
      const wave = Math.cos(((s - 15) / 30) * 2 * Math.PI)
      return (1 / 40) * ((1 + dip) / 2 + ((1 - dip) / 2) * wave)
    })
    const corner = { kind: 'corner', side: 'left', from: 0, to: 60, radius: 45, angle: 1.2 } as const
    return { road: { ...route, curvature, step: 1 }, corner }
  }
  it('leaves an even corner whole', () => {
    const { road, corner } = bumps(0.95)
    expect(cutAtDips(road, corner)).toHaveLength(1)
  })
  it('cuts at a dip, the surer the deeper', () => {
    const deep = cutAtDips(bumps(0.5).road, bumps(0.5).corner)
    const shallow = cutAtDips(bumps(0.75).road, bumps(0.75).corner)
    expect([deep.length, shallow.length]).toEqual([2, 2])
    expect(deep[1]!.part!.cut).toBeGreaterThan(shallow[1]!.part!.cut)
    // The dip is at 30 m.
    expect(Math.abs(deep[1]!.from - 30)).toBeLessThanOrEqual(1)
  })
})
