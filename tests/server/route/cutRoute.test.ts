import { expect, it } from 'vitest'
import { buildRoute } from '../../../server/route/buildRoute.ts'
import { cutRoute } from '../../../server/route/cutRoute.ts'
import { importRoute } from '../../../server/route/importRoute.ts'
import type { CornerFeature, Route } from '../../../server/route/route.ts'
import { bentRoad } from './bentRoad.ts'

const road = buildRoute(importRoute(new TextEncoder().encode('x,y\n0,0\n100,0\n200,0\n'), 'a.csv'))
const corners = (route: Route) => route.features.filter((one): one is CornerFeature => one.kind === 'corner')

it('keeps the stretch between two stations and numbers it from 0', () => {
  const cut = cutRoute(road, 50, 150)
  expect([cut.length, cut.x.length, Math.round(cut.x[0]!)]).toEqual([100, 101, 50])
})

it('refuses a stretch that is not there', () => {
  expect(() => cutRoute(road, 150, 50)).toThrow(/from 150 to 50/)
})

// 100 m straight, a quarter circle of 50 m to the left (78.5 m), 100 m straight.
const bent = bentRoad()
const [corner] = corners(bent)

it('keeps the part of a corner that lies behind the start, with the turning that is left', () => {
  const middle = Math.round((corner!.from + corner!.to) / 2)
  const [left] = corners(cutRoute(bent, middle, bent.length))
  expect([left!.from, Math.round(left!.to)]).toEqual([0, Math.round(corner!.to - middle)])
  expect(left!.angle).toBeCloseTo(Math.PI / 4, 1)
})

it('keeps the part of a corner that lies before the finish', () => {
  const middle = Math.round((corner!.from + corner!.to) / 2)
  const [left] = corners(cutRoute(bent, 0, middle))
  expect(left!.to).toBe(middle)
  expect(left!.angle).toBeCloseTo(Math.PI / 4, 1)
})

it('lets go of a corner of which hardly anything is left', () => {
  expect(corners(cutRoute(bent, Math.round(corner!.to) - 8, bent.length))).toEqual([])
})
