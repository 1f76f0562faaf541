import { type Lattice, NONE, REACH, SKIPS } from './lattice.ts'
import { foundAt, type Values } from './passes.ts'

/** Two ways to the same number are the same way when they differ by less than rounding. */
const SAME = 1e-7

/** The best alignment, traced back by testing which way gives each value: no pointers are stored (docs/method/placement.md). */
export function bestPath(lattice: Lattice, top: Values): { places: (readonly number[])[]; mates: (-1 | 0 | 1)[] } {
  const { ground, lo, hi, row, size, one, two, three, shared, pair } = lattice
  const { N, M, previous, skipPlace, lost } = ground
  const places: (readonly number[])[] = Array.from({ length: N }, () => [])
  const mates: (-1 | 0 | 1)[] = Array.from({ length: N }, () => 0)
  if (top.end[size - 1] === NONE) return { places, mates }
  let state: 'end' | 'start' | 'lost' | 'found' = 'end'
  let i = N - 1
  let j = M - 1
  // Each step goes up a row or back a place, or changes state in place: no path is longer.
  for (let left = 4 * (N + M) + 8; left > 0 && !(state === 'end' && i === 0); left--) {
    const at = row[i]! + j - lo[i]!
    if (state === 'end') {
      const value = top.end[at]!
      const p = previous[j]!
      const pp = p >= 0 ? previous[p]! : -1
      const cell = (call: number, place: number) =>
        call >= 0 && place >= lo[call]! && place <= hi[call]! ? top.start[row[call]! + place - lo[call]!]! : NONE
      if (near(value, one[at]! + top.start[at]!)) places[i] = [j]
      else if (near(value, two[at]! + cell(i, p))) places[i] = [p, j]
      else if (near(value, three[at]! + cell(i, pp))) places[i] = [pp, p, j]
      else if (near(value, shared[at]! + cell(i - 1, j))) {
        places[i] = [j]
        places[i - 1] = [j]
        mates[i] = -1
        mates[i - 1] = 1
        i--
      } else return { places, mates }
      j = places[i]![0]!
      state = 'start'
    } else if (state === 'start') {
      const value = top.start[at]!
      if (j - 1 >= lo[i - 1]! && near(value, foundAt(lattice, top, i - 1, j - 1))) {
        i--
        // Beyond the window's end only the chain runs on.
        j = Math.min(j - 1, hi[i]!)
        state = 'found'
        continue
      }
      let to = -1
      let on = -1
      for (let k = 0; k < SKIPS && i - 1 - k >= 0 && to < 0; k++) {
        const i1 = i - 1 - k
        for (let j1 = Math.max(lo[i1]!, j - REACH); j1 <= Math.min(j - 1, hi[i1]!) && to < 0; j1++)
          if (near(value, pair[(at * SKIPS + k) * REACH + (j - j1 - 1)]! + top.end[row[i1]! + j1 - lo[i1]!]!)) {
            to = i1
            on = j1
          }
      }
      if (to < 0) return { places, mates }
      i = to
      j = on
      state = 'end'
    } else if (state === 'lost') {
      if (near(top.lost[at]!, top.end[at]! + lost[i]!)) state = 'end'
      else if (i > 0 && j >= lo[i - 1]! && j <= hi[i - 1]!) i--
      else return { places, mates }
    } else if (near(top.found[at]!, top.lost[at]!)) state = 'lost'
    else if (j > lo[i]! && near(top.found[at]!, top.found[at - 1]! + skipPlace[j]!)) j--
    else return { places, mates }
  }
  return { places, mates }
}

function near(value: number, score: number): boolean {
  return value > NONE && score > NONE && Math.abs(value - score) < SAME * Math.max(1, Math.abs(value) * 1e-3)
}
