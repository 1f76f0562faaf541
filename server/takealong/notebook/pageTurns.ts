import type { Seconds } from '../../units.ts'

/** A hand needs this long to turn a page: common practice, no source. */
export const TURN: Seconds = 1.2

export interface NotebookEntry {
  /** Height on the page, whole units of any length, > 0. */
  readonly height: number
  /** Milliseconds between the end of this entry's reading and the latest start of the next that makes nothing later; whole, may be negative. */
  readonly room: number
  /** Whether turning after this entry would be inside a crunch. */
  readonly crunch: boolean
}

export interface Page {
  /** Entries [from, to). */
  readonly from: number
  readonly to: number
}

/** What a choice of pages costs, compared in this order; whole numbers, so that sums are exact. */
export type TurnCost = readonly [crunchTurns: number, shortMs: number, pages: number, unevenness: number]

/**
 * Pages that hold all entries in order, none fuller than `capacity` (an entry taller than a page has one to itself), at the least cost: first as few turns
 * inside a crunch as can be, then the fewest milliseconds short of a turn of `turnMs`, then the fewest pages, then the most even ones (Σ (capacity − height)²,
 * the last page left out). Exact, by dynamic programming over the last page's first entry; O(entries · entries on a page). Throws RangeError.
 */
export function pageTurns(
  entries: readonly NotebookEntry[],
  capacity: number,
  turnMs: number = TURN * 1000,
): { pages: Page[]; cost: TurnCost } {
  if (!(Number.isInteger(capacity) && capacity > 0))
    throw new RangeError(`pageTurns: capacity must be a whole number > 0, got ${capacity}`)
  for (const { height, room } of entries)
    if (!(Number.isInteger(height) && height > 0 && Number.isInteger(room)))
      throw new RangeError(`pageTurns: height and room must be whole, got ${height} and ${room}`)
  const n = entries.length
  if (n === 0) return { pages: [], cost: [0, 0, 0, 0] }
  const best: TurnCost[] = [[0, 0, 0, 0]]
  const begin: number[] = [0]
  for (let to = 1; to <= n; to++) {
    let height = 0
    for (let from = to - 1; from >= 0; from--) {
      height += entries[from]!.height
      if (height > capacity && from < to - 1) break
      const cost = plus(best[from]!, pageCost(entries, to, height, capacity, turnMs))
      if (best[to] === undefined || compareCosts(cost, best[to]!) < 0) {
        best[to] = cost
        begin[to] = from
      }
    }
  }
  const pages: Page[] = []
  for (let to = n; to > 0; to = begin[to]!) pages.unshift({ from: begin[to]!, to })
  return { pages, cost: best[n]! }
}

/** Cost of one page that ends before entry `to`, with the turn after it; the last page has none. */
export function pageCost(
  entries: readonly NotebookEntry[],
  to: number,
  height: number,
  capacity: number,
  turnMs: number,
): TurnCost {
  if (to === entries.length) return [0, 0, 1, 0]
  const { room, crunch } = entries[to - 1]!
  return [crunch ? 1 : 0, Math.max(0, turnMs - room), 1, Math.max(0, capacity - height) ** 2]
}

export function compareCosts(a: TurnCost, b: TurnCost): number {
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return a[i]! - b[i]!
  return 0
}

const plus = (a: TurnCost, b: TurnCost): TurnCost => [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]]
