import { describe, expect, it } from 'vitest'
import { reverseRoute } from '../../../server/route/reverseRoute.ts'
import { bentRoad } from './bentRoad.ts'

const road = bentRoad()
const back = reverseRoute(road)
const last = road.x.length - 1

describe('a road driven the other way', () => {
  it('starts where it ended', () => {
    expect([back.x[0], back.y[0], back.z[0]]).toEqual([road.x[last], road.y[last], road.z[last]])
  })

  it('turns right where it turned left, by as much and as tightly', () => {
    const [there, here] = [road.features[0]!, back.features[0]!]
    expect(here).toMatchObject({ side: 'right', radius: there.radius, from: road.length - there.to })
  })

  it('climbs where it fell', () => {
    expect(road.grade[50]).toBeGreaterThan(0.04)
    expect(back.grade[last - 50]).toBe(-road.grade[50]!)
  })

  it('heads the opposite way at every station', () => {
    const apart = Array.from(back.heading, (h, i) => Math.cos(h - road.heading[last - i]!))
    expect(Math.max(...apart)).toBeLessThan(-1 + 1e-9)
  })

  it('is the road itself again when turned twice', () => {
    const twice = reverseRoute(back)
    expect([twice.x, twice.curvature, twice.features]).toEqual([road.x, road.curvature, road.features])
  })
})
