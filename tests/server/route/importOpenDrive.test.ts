import { describe, expect, it } from 'vitest'
import { importRoute } from '../../../server/route/importRoute.ts'

const read = (inner: string, ahead = '') =>
  importRoute(new TextEncoder().encode(`${ahead}<OpenDRIVE>${inner}</OpenDRIVE>`), 'a.xodr')
/** A straight road along y = 0. */
const road = (
  id: number,
  x: number,
  length: number,
  q: { hdg?: number; link?: string; junction?: number; more?: string; y?: number } = {},
) =>
  `<road id="${id}" name="" junction="${q.junction ?? -1}"><link>${q.link ?? ''}</link><planView><geometry s="0" x="${x}" y="${q.y ?? 0}" hdg="${q.hdg ?? 0}" length="${length}"><line/></geometry></planView>${q.more ?? ''}</road>`
const follows = (id: number, contact: string) =>
  `<successor elementType="road" elementId="${id}" contactPoint="${contact}"/>`
const precedes = (id: number, contact: string) =>
  `<predecessor elementType="road" elementId="${id}" contactPoint="${contact}"/>`
const intoJunction = (which: string, id: number) => `<${which} elementType="junction" elementId="${id}"/>`
const ends = (x: readonly number[]) => [x[0], x.at(-1)].map((one) => Math.round(one!))

describe('roads linked to each other', () => {
  it('are one line', () => {
    const draft = read(road(1, 0, 20, { link: follows(2, 'start') }) + road(2, 20, 30, { link: precedes(1, 'end') }))
    expect([ends(draft.easting), draft.breaks, draft.losses]).toEqual([[0, 50], [], {}])
  })

  it('are driven on backwards where the next is met at its end', () => {
    // Road 2 is drawn from 50 to 20: it ends where road 1 does.
    const draft = read(
      road(1, 0, 20, { link: follows(2, 'end') }) + road(2, 50, 30, { hdg: Math.PI, link: follows(1, 'end') }),
    )
    expect([ends(draft.easting), draft.breaks]).toEqual([[0, 50], []])
  })

  it('go on by the predecessor of a road that is driven backwards', () => {
    const draft = read(
      road(1, 0, 20, { link: follows(2, 'end') }) +
        road(2, 50, 30, { hdg: Math.PI, link: precedes(3, 'start') + follows(1, 'end') }) +
        road(3, 50, 25, { link: precedes(2, 'start') }),
    )
    expect([ends(draft.easting), draft.breaks]).toEqual([[0, 75], []])
  })

  it('go straight on through a junction', () => {
    const bend = `<road id="8" junction="7"><link>${precedes(1, 'end')}</link><planView><geometry s="0" x="20" y="0" hdg="0" length="15.7"><arc curvature="0.1"/></geometry></planView></road>`
    const draft = read(
      road(1, 0, 20, { link: intoJunction('successor', 7) }) +
        bend +
        road(9, 20, 10, { junction: 7, link: precedes(1, 'end') + follows(2, 'start') }) +
        road(2, 30, 40, { link: intoJunction('predecessor', 7) }) +
        '<junction id="7"><connection id="0" incomingRoad="1" connectingRoad="8" contactPoint="start"/><connection id="1" incomingRoad="1" connectingRoad="9" contactPoint="start"/></junction>',
    )
    expect([ends(draft.easting.slice(0, draft.breaks[0])), draft.names?.[0]]).toEqual([[0, 70], 'road 1 and 2 more'])
  })

  it('leave the others in the file to choose from', () => {
    const draft = read(road(1, 0, 20) + road(2, 500, 60) + road(3, 900, 40))
    expect(draft.names).toEqual(['road 2', 'road 3', 'road 1'])
    expect(draft.breaks).toEqual([61, 102])
  })

  it('say where the links do not meet', () => {
    const draft = read(road(1, 0, 20, { link: follows(2, 'start') }) + road(2, 22, 30))
    expect(draft.losses).toEqual({ 'gaps between linked roads, bridged': 1 })
  })
})

describe('superelevation', () => {
  const banked = (link: string) =>
    `<lateralProfile><superelevation s="0" a="0.1" b="0" c="0" d="0"/></lateralProfile>${link}`
  it('is kept at every point', () => {
    expect(read(road(1, 0, 3, { more: banked('') })).bank).toEqual([0.1, 0.1, 0.1, 0.1])
  })

  it('falls to the other side where the road is driven backwards', () => {
    const draft = read(
      road(1, 0, 20, { link: follows(2, 'end') }) +
        road(2, 23, 3, { hdg: Math.PI, link: follows(1, 'end'), more: banked('') }),
    )
    expect(draft.bank?.slice(-3)).toEqual([-0.1, -0.1, -0.1])
    expect(draft.bank?.[0]).toBeNull()
  })
})

describe('records that are not right', () => {
  it('are told when a curve is not as long as they say', () => {
    const curve = '<paramPoly3 pRange="normalized" aU="0" bU="100" cU="0" dU="0" aV="0" bV="0" cV="0" dV="0"/>'
    const geometry = (length: number) =>
      `<road id="1"><planView><geometry s="0" x="0" y="0" hdg="0" length="${length}">${curve}</geometry></planView></road>`
    expect(read(geometry(100)).losses).toEqual({})
    expect(read(geometry(100.3)).losses).toEqual({ 'curves not as long as their record says': 1 })
  })

  it('set no two points a hair’s breadth apart', () => {
    const short =
      '<road id="1"><planView><geometry s="0" x="0" y="0" hdg="0" length="5"><line/></geometry><geometry s="5" x="5" y="0" hdg="0" length="0.000001"><line/></geometry><geometry s="5.000001" x="5.000001" y="0" hdg="0" length="5"><line/></geometry></planView></road>'
    const { easting } = read(short)
    expect(Math.min(...easting.slice(1).map((x, i) => x - easting[i]!))).toBeGreaterThan(0.5)
    expect(easting.at(-1)).toBeCloseTo(10, 5)
  })
})

it('is read behind a licence that stands before the XML declaration', () => {
  expect(ends(read(road(1, 0, 20), '<!-- as you like -->\n<?xml version="1.0"?>').easting)).toEqual([0, 20])
})
