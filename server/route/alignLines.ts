import type { Metres } from '../units.ts'

export interface PlaneLine {
  /** Even stations `step` apart from 0. */
  readonly step: Metres
  readonly x: ArrayLike<number>
  readonly y: ArrayLike<number>
}

export interface Alignment {
  /** Stations that stand for each other, both ascending: of the line aligned, of the line it is laid on. */
  readonly from: number[]
  readonly onto: number[]
  /** Σ of (reach² − distance²), the larger the longer and nearer the common road. */
  readonly score: number
}

/** Lines of one road logged twice lie within this. */
const REACH: Metres = 30
const NODE: Metres = 10
/** Longer roads get wider nodes, to bound the table. */
const MOST_NODES = 2500
/** What passing over a node of one line costs, a ninth of what a perfect pair gains. */
const PASSED = 100

/**
 * Where one line runs along another: the best common stretch, order kept (local alignment by dynamic programming, Smith & Waterman 1981), a pair of nodes gaining
 * reach² − distance² − reach² (1 − cos of the angle between them), so that the two ways of a road driven out and back are told apart. Empty when they never meet.
 */
export function alignLines(line: PlaneLine, onto: PlaneLine): Alignment {
  const longest = Math.max((line.x.length - 1) * line.step, (onto.x.length - 1) * onto.step)
  const spacing = Math.max(NODE, longest / MOST_NODES)
  const a = coarse(line, spacing)
  const b = coarse(onto, spacing)
  const n = a.x.length
  const m = b.x.length
  const came = new Uint8Array(n * m)
  let before = new Float64Array(m)
  let row = new Float64Array(m)
  let best = 0
  let at = -1
  for (let i = 0; i < n; i++) {
    for (let j = 0; j < m; j++) {
      const pair = (j > 0 && i > 0 ? before[j - 1]! : 0) + gain(a, i, b, j)
      const passA = i > 0 ? before[j]! - PASSED : 0
      const passB = j > 0 ? row[j - 1]! - PASSED : 0
      const value = Math.max(0, pair, passA, passB)
      came[i * m + j] = value === 0 ? 0 : value === pair ? 1 : value === passA ? 2 : 3
      row[j] = value
      if (value > best) {
        best = value
        at = i * m + j
      }
    }
    const spare = before
    before = row
    row = spare
  }
  const pairs: Alignment = { from: [], onto: [], score: best }
  while (at >= 0 && came[at]! !== 0) {
    const i = Math.floor(at / m)
    const j = at - i * m
    const way = came[at]!
    if (way === 1) {
      pairs.from.push(i * spacing)
      pairs.onto.push(j * spacing)
    }
    if ((way !== 3 && i === 0) || (way !== 2 && j === 0)) break
    at -= way === 1 ? m + 1 : way === 2 ? m : 1
  }
  pairs.from.reverse()
  pairs.onto.reverse()
  return pairs
}

interface Coarse {
  readonly x: Float64Array
  readonly y: Float64Array
  readonly c: Float64Array
  readonly s: Float64Array
}

function coarse(line: PlaneLine, spacing: Metres): Coarse {
  const every = spacing / line.step
  const n = Math.floor((line.x.length - 1) / every) + 1
  const out = { x: new Float64Array(n), y: new Float64Array(n), c: new Float64Array(n), s: new Float64Array(n) }
  for (let i = 0; i < n; i++) {
    out.x[i] = line.x[Math.round(i * every)]!
    out.y[i] = line.y[Math.round(i * every)]!
  }
  for (let i = 0; i < n; i++) {
    const a = Math.max(0, i - 1)
    const b = Math.min(n - 1, i + 1)
    const heading = Math.atan2(out.y[b]! - out.y[a]!, out.x[b]! - out.x[a]!)
    out.c[i] = Math.cos(heading)
    out.s[i] = Math.sin(heading)
  }
  return out
}

function gain(a: Coarse, i: number, b: Coarse, j: number): number {
  const dx = a.x[i]! - b.x[j]!
  const dy = a.y[i]! - b.y[j]!
  const square = dx * dx + dy * dy
  if (square > 2 * REACH * REACH) return -REACH * REACH
  const cosine = a.c[i]! * b.c[j]! + a.s[i]! * b.s[j]!
  return Math.max(-REACH * REACH, REACH * REACH * cosine - square)
}

/** Nodes end this far before their line does, at most. */
const BEYOND = 2

/** Station of the other line that stands for `at`; beyond the common stretch NaN. `cell` of the last answer speeds ascending questions. */
export function stationOnto(pairs: Alignment, at: Metres, cell: { value: number }): number {
  const { from, onto } = pairs
  const last = from.length - 1
  if (last < 1) return Number.NaN
  const spacing = (from[last]! - from[0]!) / last
  if (at < from[0]!) return at > from[0]! - BEYOND * spacing ? onto[0]! + at - from[0]! : Number.NaN
  if (at > from[last]!) return at < from[last]! + BEYOND * spacing ? onto[last]! + at - from[last]! : Number.NaN
  while (cell.value < last - 1 && from[cell.value + 1]! < at) cell.value++
  while (cell.value > 0 && from[cell.value]! > at) cell.value--
  const k = cell.value
  const part = (at - from[k]!) / (from[k + 1]! - from[k]!)
  return onto[k]! + part * (onto[k + 1]! - onto[k]!)
}
