import type { CallView } from './callView.ts'
import { type AlignInput, type Ground, NONE, REACH, single } from './lattice.ts'
import { pairTerm } from './likelihood.ts'

/** Nats below the best of a row at which the first pass lets a place go: some hundred uncalled corners in a row stay within it. */
const FORWARD = 300
/** Nats below the best whole path at which a place is no longer looked at (measured on made stages: 25 lost nothing). */
const BEAM = 25
/** Places kept beyond the beam on both sides: the first pass knows only one call on one place. */
const PAD = 4
/** Longest gap in the table of pair terms; longer ones are worked out. */
const TABLE = 500

/**
 * For each call the places worth looking at: those on a path of one-to-one moves within BEAM of the best, by a forward and a backward maximum.
 * Not a band of stations: unsaid distances and the odometer drift out of any band without a sign (docs/method/placement.md). O(calls × places kept).
 */
export function windowsOf(input: AlignInput, ground: Ground): { lo: Int32Array; hi: Int32Array } {
  const { N, M } = ground
  const terms = pairTables(input)
  const emission = emissions(input, ground)
  const rows: Row[] = []
  for (let i = 0; i < N; i++) rows.push(forwardRow(input, ground, terms, emission, rows, i))
  const lo = new Int32Array(N)
  const hi = new Int32Array(N)
  const best = rows[N - 1]!.end[M - 1 - rows[N - 1]!.lo] ?? NONE
  if (!(best > NONE)) {
    hi.fill(M - 1)
    return { lo, hi }
  }
  const back = backwardRows(input, ground, terms, emission, rows)
  for (let i = 0; i < N; i++) {
    const row = rows[i]!
    const rest = back[i]!
    let first = -1
    let last = -1
    for (let c = 0; c < row.end.length; c++) {
      const through = Math.max(row.end[c]! + rest.end[c]!, row.LA[c]! + rest.LA[c]!, row.LB[c]! + rest.LB[c]!)
      if (through < best - BEAM) continue
      if (first < 0) first = c
      last = c
    }
    lo[i] = Math.max(0, row.lo + first - PAD)
    hi[i] = Math.min(M - 1, row.lo + last + PAD)
  }
  return { lo, hi }
}

interface Row {
  readonly lo: number
  readonly end: Float64Array
  readonly LA: Float64Array
  readonly LB: Float64Array
}

type Emission = (i: number, j: number) => number

/** One-to-one prices, the same for every call of the same words on the same place. */
function emissions(input: AlignInput, ground: Ground): Emission {
  const kinds = new Map<string, Float64Array>()
  const of = input.calls.map((call, i) => {
    if (ground.fixed[i]! >= 0 || call.kind === 'start' || call.kind === 'finish') return null
    const key = `${call.kind} ${call.side} ${call.grade?.name} ${call.grade?.radius} ${call.long} ${call.crest}`
    const known = kinds.get(key) ?? new Float64Array(ground.M).fill(Number.NaN)
    kinds.set(key, known)
    return known
  })
  return (i, j) => {
    const known = of[i]!
    if (known === null) return single(input, ground, i, j)
    const value = known[j]!
    if (!Number.isNaN(value)) return value
    known[j] = single(input, ground, i, j)
    return known[j]!
  }
}

/** ln ratios of what each call says after itself, by whole metres of gap. */
function pairTables(input: AlignInput): (Float64Array | null)[] {
  const tables = new Map<number, Float64Array>()
  return input.calls.map((call) => {
    if (call.distance <= 0 && call.link === null) return null
    const key = call.distance > 0 ? call.distance : -1
    let table = tables.get(key)
    if (!table) {
      table = Float64Array.from({ length: TABLE }, (_, gap) => pairTerm(call, gap, [], input.scale, input.rounding))
      tables.set(key, table)
    }
    return table
  })
}

function pairAt(input: AlignInput, table: Float64Array | null, call: CallView, gap: number): number {
  if (table === null) return 0
  const metre = Math.round(Math.max(0, gap))
  return metre < TABLE ? table[metre]! : pairTerm(call, metre, [], input.scale, input.rounding)
}

function forwardRow(
  input: AlignInput,
  ground: Ground,
  terms: readonly (Float64Array | null)[],
  emission: Emission,
  rows: readonly Row[],
  i: number,
): Row {
  const { M, skipped, skipPlace, skipCall, lost } = ground
  const { places } = input
  const before = i === 0 ? null : rows[i - 1]!
  const lo = before === null ? 0 : before.lo
  const reach = before === null ? 0 : Math.min(M - 1, before.lo + before.end.length - 1 + REACH)
  const end: number[] = []
  const LA: number[] = []
  const LB: number[] = []
  let best = NONE
  for (let j = lo; j < M; j++) {
    const c = j - lo
    let value = i === 0 && j === 0 ? 0 : NONE
    if (before !== null && j > 0 && j <= reach) {
      const say = emission(i, j)
      if (say > NONE) {
        let into = j - 1 - before.lo >= 0 ? (before.LB[j - 1 - before.lo] ?? NONE) : NONE
        for (let j1 = Math.max(before.lo, j - REACH); j1 < j && j1 - before.lo < before.end.length; j1++) {
          const from = before.end[j1 - before.lo]!
          if (from === NONE) continue
          const said = pairAt(input, terms[i - 1]!, input.calls[i - 1]!, places[j]!.from - places[j1]!.to)
          const score = from + said + skipped[j]! - skipped[j1 + 1]!
          if (score > into) into = score
        }
        value = into + say
      }
    }
    const kept = before === null ? NONE : (before.LA[c] ?? NONE) + skipCall[i]!
    const la = Math.max(value + lost[i]!, kept)
    const lb = Math.max(la, c > 0 ? LB[c - 1]! + skipPlace[j]! : NONE)
    if (value > best) best = value
    if (lb > best) best = lb
    if (j > reach && lb < best - FORWARD) break
    end.push(value)
    LA.push(la)
    LB.push(lb)
  }
  let first = 0
  let last = LB.length - 1
  const floor = best - FORWARD
  while (first < last && end[first]! < floor && LA[first]! < floor && LB[first]! < floor) first++
  while (last > first && end[last]! < floor && LB[last]! < floor) last--
  return {
    lo: lo + first,
    end: Float64Array.from(end.slice(first, last + 1)),
    LA: Float64Array.from(LA.slice(first, last + 1)),
    LB: Float64Array.from(LB.slice(first, last + 1)),
  }
}

/** What is still to be had from each state of each row: the mirror of the forward pass, by handing back. */
function backwardRows(
  input: AlignInput,
  ground: Ground,
  terms: readonly (Float64Array | null)[],
  emission: Emission,
  rows: readonly Row[],
): Row[] {
  const { N, M, skipped, skipPlace, skipCall, lost } = ground
  const { places } = input
  const back = rows.map((row) => ({
    lo: row.lo,
    end: new Float64Array(row.end.length).fill(NONE),
    LA: new Float64Array(row.end.length).fill(NONE),
    LB: new Float64Array(row.end.length).fill(NONE),
  }))
  back[N - 1]!.end[M - 1 - rows[N - 1]!.lo] = 0
  for (let i = N - 1; i >= 0; i--) {
    const row = back[i]!
    const before = i > 0 ? back[i - 1]! : null
    for (let c = row.end.length - 1; c >= 0; c--) {
      const j = row.lo + c
      if (c > 0 && row.LB[c]! + skipPlace[j]! > row.LB[c - 1]!) row.LB[c - 1] = row.LB[c]! + skipPlace[j]!
      if (row.LB[c]! > row.LA[c]!) row.LA[c] = row.LB[c]!
      if (row.LA[c]! + lost[i]! > row.end[c]!) row.end[c] = row.LA[c]! + lost[i]!
      if (before === null) continue
      const above = j - before.lo
      if (above >= 0 && above < before.LA.length && row.LA[c]! + skipCall[i]! > before.LA[above]!)
        before.LA[above] = row.LA[c]! + skipCall[i]!
      if (row.end[c] === NONE) continue
      const rest = row.end[c]! + emission(i, j)
      if (rest === NONE) continue
      const lb = j - 1 - before.lo
      if (lb >= 0 && lb < before.LB.length && rest > before.LB[lb]!) before.LB[lb] = rest
      for (let j1 = Math.max(before.lo, j - REACH); j1 < j && j1 - before.lo < before.end.length; j1++) {
        const said = pairAt(input, terms[i - 1]!, input.calls[i - 1]!, places[j]!.from - places[j1]!.to)
        const score = rest + said + skipped[j]! - skipped[j1 + 1]!
        if (score > before.end[j1 - before.lo]!) before.end[j1 - before.lo] = score
      }
    }
  }
  return back
}
