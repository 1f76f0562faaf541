import { expect, it } from 'vitest'
import { buildRoute } from '../../../server/route/buildRoute.ts'
import { cutRoute } from '../../../server/route/cutRoute.ts'
import { importRoute } from '../../../server/route/importRoute.ts'

const road = buildRoute(importRoute(new TextEncoder().encode('x,y\n0,0\n100,0\n200,0\n'), 'a.csv'))

it('keeps the stretch between two stations and numbers it from 0', () => {
  const cut = cutRoute(road, 50, 150)
  expect([cut.length, cut.x.length, Math.round(cut.x[0]!)]).toEqual([100, 101, 50])
})

it('refuses a stretch that is not there', () => {
  expect(() => cutRoute(road, 150, 50)).toThrow(/from 150 to 50/)
})
