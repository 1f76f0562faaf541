import { describe, expect, it } from 'vitest'
import {
  compareCosts,
  type NotebookEntry,
  type Page,
  pageCost,
  pageTurns,
  type TurnCost,
} from '../../../server/takealong/notebook/pageTurns.ts'
import { seededRandom } from '../../seededRandom.ts'

const TURN_MS = 1200

/** Every way of cutting the entries into pages that fit, and the least cost among them. */
function leastOfAll(entries: readonly NotebookEntry[], capacity: number): TurnCost {
  let least: TurnCost | null = null
  for (let cuts = 0; cuts < 1 << (entries.length - 1); cuts++) {
    const cost = [0, 0, 0, 0]
    let [height, count, fits] = [0, 0, true]
    for (let i = 0; i < entries.length; i++) {
      height += entries[i]!.height
      count++
      if (height > capacity && count > 1) fits = false
      if (i === entries.length - 1 || (cuts >> i) & 1) {
        pageCost(entries, i + 1, height, capacity, TURN_MS).forEach((one, k) => {
          cost[k]! += one
        })
        height = 0
        count = 0
      }
    }
    if (fits && (least === null || compareCosts(cost as never, least) < 0)) least = cost as never
  }
  return least!
}

const random = seededRandom(9)
const entriesOf = (count: number): NotebookEntry[] =>
  Array.from({ length: count }, () => ({
    height: 1 + Math.floor(random() * 3),
    room: Math.floor(random() * 3000) - 300,
    crunch: random() < 0.3,
  }))

describe('page turns', () => {
  it('cost the least of all ways to cut the notebook (brute force on 150 of up to 12 calls)', () => {
    for (let k = 0; k < 150; k++) {
      const entries = entriesOf(1 + Math.floor(random() * 12))
      const capacity = 3 + Math.floor(random() * 6)
      expect(pageTurns(entries, capacity, TURN_MS).cost).toEqual(leastOfAll(entries, capacity))
    }
  })
  it('hold every call once, in order', () => {
    const entries = entriesOf(200)
    const { pages } = pageTurns(entries, 9)
    expect(pages.flatMap(({ from, to }: Page) => entries.slice(from, to))).toEqual(entries)
  })
  it('never fill a page past its room', () => {
    const entries = entriesOf(200)
    const height = ({ from, to }: Page) => entries.slice(from, to).reduce((sum, one) => sum + one.height, 0)
    expect(Math.max(...pageTurns(entries, 9).pages.map(height))).toBeLessThanOrEqual(9)
  })
  it('turn early rather than inside a crunch', () => {
    const entry = (room: number, crunch: boolean) => ({ height: 1, room, crunch })
    const entries = [entry(5000, false), entry(5000, true), entry(5000, true), entry(0, false)]
    expect(pageTurns(entries, 3).pages[0]).toEqual({ from: 0, to: 1 })
  })
  it('turn inside a crunch where nothing else holds it', () => {
    const entry = { height: 1, room: 100, crunch: true }
    expect(pageTurns([entry, entry, entry], 2).cost[0]).toBe(1)
  })
  it('refuse a page without room', () => expect(() => pageTurns([], 0)).toThrow(RangeError))
})
