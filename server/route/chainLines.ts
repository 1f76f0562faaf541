import type { Metres } from '../units.ts'
import { distance, type LineEnd, straightness } from './lineEnds.ts'

/** A line to be joined with others: its two ends, start first, and its length. */
export interface LineToJoin {
  readonly ends: readonly [LineEnd, LineEnd]
  readonly length: Metres
}

export interface ChainLink {
  readonly line: number
  readonly reversed: boolean
}

/** Where several lines meet in one place, the one that leads straight on is worth a gap this much wider. */
const TURN_PRICE: Metres = 50
/** Turning back by more than 150° at a joint is no road that goes on, but the other carriageway. */
const TURNED_BACK = -0.87

/**
 * Joins lines by their nearest ends into chains: of all pairs of free ends no farther apart than `within`, nor than the shorter line is long, the cheapest is joined first (gap + 25 m·(1 − cos turn)),
 * and so on, as Kruskal's algorithm does for edges; no chain is closed to a ring. With `within` infinite everything becomes one chain, turning back or not.
 * Each chain runs the way most of its length was drawn. Chains in the order of their first line.
 */
export function chainLines(lines: readonly LineToJoin[], within: Metres): ChainLink[][] {
  const chainOf = lines.map((_, i) => i)
  const root = (i: number): number => {
    while (chainOf[i] !== i) i = chainOf[i]!
    return i
  }
  /** Per end (2·line + which): the end it is joined to, or −1. */
  const joined = new Int32Array(2 * lines.length).fill(-1)
  for (const { a, b } of candidates(lines, within)) {
    if (joined[a]! >= 0 || joined[b]! >= 0) continue
    const [one, other] = [root(a >> 1), root(b >> 1)]
    if (one === other) continue
    chainOf[Math.max(one, other)] = Math.min(one, other)
    joined[a] = b
    joined[b] = a
  }
  const seen = new Array<boolean>(lines.length).fill(false)
  const chains: ChainLink[][] = []
  for (let i = 0; i < lines.length; i++) {
    if (seen[i]) continue
    chains.push(walk(firstEnd(i, joined), joined, seen, lines))
  }
  return chains
}

/** From any line back to the open end of its chain. */
function firstEnd(line: number, joined: Int32Array): number {
  let end = 2 * line
  while (joined[end]! >= 0) end = joined[end]! ^ 1
  return end
}

function walk(start: number, joined: Int32Array, seen: boolean[], lines: readonly LineToJoin[]): ChainLink[] {
  const chain: ChainLink[] = []
  let against = 0
  let total = 0
  for (let end = start; end >= 0; end = joined[end ^ 1]!) {
    const line = end >> 1
    const reversed = (end & 1) === 1
    seen[line] = true
    chain.push({ line, reversed })
    total += lines[line]!.length
    if (reversed) against += lines[line]!.length
  }
  const mostlyAgainst = against > total / 2 || (against === total / 2 && chain[0]!.reversed)
  return mostlyAgainst ? turnedRound(chain) : chain
}

/** The same chain driven from its other end. */
export const turnedRound = (chain: readonly ChainLink[]): ChainLink[] =>
  chain.map((one) => ({ ...one, reversed: !one.reversed })).reverse()

interface Pair {
  readonly a: number
  readonly b: number
  readonly price: number
}

function candidates(lines: readonly LineToJoin[], within: Metres): Pair[] {
  const ends = lines.flatMap((one) => one.ends)
  const pairs: Pair[] = []
  const consider = (a: number, b: number) => {
    if (a >> 1 === b >> 1) return
    const gap = distance(ends[a]!.place, ends[b]!.place)
    const along = straightness(ends[a]!, ends[b]!)
    const most = Math.min(within, lines[a >> 1]!.length, lines[b >> 1]!.length)
    if (Number.isFinite(within) && (gap > most || along < TURNED_BACK)) return
    pairs.push({ a, b, price: gap + (TURN_PRICE * (1 - along)) / 2 })
  }
  if (Number.isFinite(within)) {
    const cells = new Map<string, number[]>()
    const cell = (end: LineEnd) => end.place.map((one) => Math.floor(one / within))
    ends.forEach((end, i) => {
      const key = cell(end).join()
      for (const other of around(cell(end))) for (const b of cells.get(other) ?? []) consider(b, i)
      cells.set(key, [...(cells.get(key) ?? []), i])
    })
  } else for (let a = 0; a < ends.length; a++) for (let b = a + 1; b < ends.length; b++) consider(a, b)
  return pairs.sort((p, q) => p.price - q.price || p.a - q.a || p.b - q.b)
}

function around([x, y, z]: readonly number[]): string[] {
  const near = [-1, 0, 1]
  return near.flatMap((i) => near.flatMap((j) => near.map((k) => [x! + i, y! + j, z! + k].join())))
}
