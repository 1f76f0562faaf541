import type { CallNode } from './align.ts'
import { type Lattice, NONE, REACH, SKIPS } from './lattice.ts'
import { foundAt, type Values } from './passes.ts'

/** d ln Z / d each way: the mirrored pass, each term's share of its sum handed back. */
export function posteriors(
  lattice: Lattice,
  v: Values,
  evidence: number,
): { nodes: CallNode[][]; called: Float64Array } {
  const { ground, lo, hi, row, size, one, two, three, shared, pair } = lattice
  const { N, M, previous, skipPlace, skipCall, lost } = ground
  const nodes: CallNode[][] = Array.from({ length: N }, () => [])
  const called = new Float64Array(M)
  if (evidence === NONE) return { nodes, called }
  const end = new Float64Array(size)
  const start = new Float64Array(size)
  const gone = new Float64Array(size)
  const found = new Float64Array(size)
  end[size - 1] = 1
  for (let i = N - 1; i >= 0; i--) {
    const low = lo[i]!
    for (let j = hi[i]!; j >= low; j--) {
      const at = row[i]! + j - low
      if (found[at]! > LEAST) {
        gone[at] = gone[at]! + found[at]! * share(v.found[at]!, v.lost[at]!)
        if (j > low) found[at - 1] = found[at - 1]! + found[at]! * share(v.found[at]!, v.found[at - 1]! + skipPlace[j]!)
      }
      if (gone[at]! > LEAST) {
        end[at] = end[at]! + gone[at]! * share(v.lost[at]!, v.end[at]! + lost[i]!)
        if (i > 0 && j >= lo[i - 1]! && j <= hi[i - 1]!) {
          const above = row[i - 1]! + j - lo[i - 1]!
          gone[above] = gone[above]! + gone[at]! * share(v.lost[at]!, v.lost[above]! + skipCall[i]!)
        }
      }
      if (!(end[at]! > LEAST) || i === 0 || j === 0) continue
      const here = end[at]!
      const alone = here * share(v.end[at]!, one[at]! + v.start[at]!)
      start[at] = start[at]! + alone
      keepInPlace(nodes[i]!, called, [j], 0, alone)
      const p = previous[j]!
      if (p >= low && two[at]! > NONE) {
        const cell = row[i]! + p - low
        const mass = here * share(v.end[at]!, two[at]! + v.start[cell]!)
        start[cell] = start[cell]! + mass
        keepInPlace(nodes[i]!, called, [p, j], 0, mass)
        const pp = previous[p]!
        if (pp >= low && three[at]! > NONE) {
          const far = row[i]! + pp - low
          const both = here * share(v.end[at]!, three[at]! + v.start[far]!)
          start[far] = start[far]! + both
          keepInPlace(nodes[i]!, called, [pp, p, j], 0, both)
        }
      }
      if (shared[at]! > NONE && j >= lo[i - 1]! && j <= hi[i - 1]!) {
        const above = row[i - 1]! + j - lo[i - 1]!
        const mass = here * share(v.end[at]!, shared[at]! + v.start[above]!)
        start[above] = start[above]! + mass
        keepInPlace(nodes[i]!, called, [j], -1, mass)
        keepInPlace(nodes[i - 1]!, null, [j], 1, mass)
      }
    }
    // Two calls on one corner start in the row above, so the starts of a row are settled when its ends and those below are.
    for (let j = hi[i]!; j >= low; j--) {
      const at = row[i]! + j - low
      const into = start[at]!
      if (!(into > LEAST) || i === 0 || j === 0) continue
      const value = v.start[at]!
      if (j - 1 >= lo[i - 1]!) {
        const mass = into * share(value, foundAt(lattice, v, i - 1, j - 1))
        const cell = row[i - 1]! + Math.min(j - 1, hi[i - 1]!) - lo[i - 1]!
        found[cell] = found[cell]! + mass
      }
      for (let k = 0; k < SKIPS && i - 1 - k >= 0; k++) {
        const i1 = i - 1 - k
        const last = Math.min(j - 1, hi[i1]!)
        for (let j1 = Math.max(lo[i1]!, j - REACH); j1 <= last; j1++) {
          const said = pair[(at * SKIPS + k) * REACH + (j - j1 - 1)]!
          if (said === NONE) continue
          const cell = row[i1]! + j1 - lo[i1]!
          end[cell] = end[cell]! + into * share(value, said + v.end[cell]!)
        }
      }
    }
  }
  return { nodes, called }
}

/** Mass below this is neither handed on nor mentioned. */
const LEAST = 1e-12
const MENTIONED = 1e-6

function keepInPlace(
  nodes: CallNode[],
  called: Float64Array | null,
  places: readonly number[],
  mate: CallNode['mate'],
  mass: number,
): void {
  if (mass < MENTIONED) return
  nodes.push({ places, mate, mass })
  if (called) for (const place of places) called[place] = called[place]! + mass
}

function share(value: number, term: number): number {
  return value === NONE || term === NONE ? 0 : Math.exp(term - value)
}
