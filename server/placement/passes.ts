import { type Lattice, NONE, REACH, SKIPS } from './lattice.ts'

/** Values of each state of each cell: by maximum or by log-sum-exp of all ways there. */
export interface Values {
  /** Call i's last place is j. */
  readonly end: Float64Array
  /** Call i begins on j; what it is worth there not yet counted. */
  readonly start: Float64Array
  /** Lost after call i, last known at j. */
  readonly lost: Float64Array
  /** Lost, and looking again at place j for call i + 1 to follow. */
  readonly found: Float64Array
}

/** Terms of one sum: at most those of a start, and the one from the lost chain. */
const terms = new Float64Array(SKIPS * REACH + 1)

function joined(count: number, sums: boolean): number {
  let most = NONE
  for (let k = 0; k < count; k++) if (terms[k]! > most) most = terms[k]!
  if (!sums || count < 2 || most === NONE) return most
  let total = 0
  for (let k = 0; k < count; k++) {
    const below = terms[k]! - most
    if (below > -45) total += Math.exp(below)
  }
  return most + Math.log(total)
}

/** Every value, by maximum or by sums; rows go down, places go up. */
export function forward(lattice: Lattice, sums: boolean): Values {
  const { ground, lo, hi, row, size, one, two, three, shared, pair } = lattice
  const { N, previous, skipPlace, skipCall, lost } = ground
  const v: Values = { end: blank(size), start: blank(size), lost: blank(size), found: blank(size) }
  for (let i = 0; i < N; i++) {
    const low = lo[i]!
    for (let j = low; j <= hi[i]!; j++) {
      const at = row[i]! + j - low
      if (i === 0 && j === 0) v.end[at] = 0
      if (i > 0 && j > 0) {
        let count = 0
        const above = j - 1 - lo[i - 1]!
        if (above >= 0) terms[count++] = foundAt(lattice, v, i - 1, j - 1)
        for (let k = 0; k < SKIPS && i - 1 - k >= 0; k++) {
          const i1 = i - 1 - k
          const last = Math.min(j - 1, hi[i1]!)
          for (let j1 = Math.max(lo[i1]!, j - REACH); j1 <= last; j1++) {
            const said = pair[(at * SKIPS + k) * REACH + (j - j1 - 1)]!
            const from = v.end[row[i1]! + j1 - lo[i1]!]!
            if (said > NONE && from > NONE) terms[count++] = said + from
          }
        }
        v.start[at] = joined(count, sums)
        count = 0
        if (one[at]! > NONE) terms[count++] = one[at]! + v.start[at]!
        if (two[at]! > NONE || three[at]! > NONE) {
          const p = previous[j]!
          if (p >= low && two[at]! > NONE) terms[count++] = two[at]! + v.start[row[i]! + p - low]!
          const pp = previous[p]!
          if (pp >= low && three[at]! > NONE) terms[count++] = three[at]! + v.start[row[i]! + pp - low]!
        }
        if (shared[at]! > NONE && j >= lo[i - 1]! && j <= hi[i - 1]!)
          terms[count++] = shared[at]! + v.start[row[i - 1]! + j - lo[i - 1]!]!
        v.end[at] = joined(count, sums)
      }
      terms[0] = v.end[at]! + lost[i]!
      terms[1] =
        i > 0 && j >= lo[i - 1]! && j <= hi[i - 1]! ? v.lost[row[i - 1]! + j - lo[i - 1]!]! + skipCall[i]! : NONE
      v.lost[at] = joined(2, sums)
      terms[0] = v.lost[at]!
      terms[1] = j > low ? v.found[at - 1]! + skipPlace[j]! : NONE
      v.found[at] = joined(2, sums)
    }
  }
  return v
}

const blank = (size: number) => new Float64Array(size).fill(NONE)

/** The lost chain runs on beyond a row's window by skipping places. */
export function foundAt(lattice: Lattice, v: Values, i: number, j: number): number {
  const { lo, hi, row, ground } = lattice
  if (j <= hi[i]!) return v.found[row[i]! + j - lo[i]!]!
  return v.found[row[i]! + hi[i]! - lo[i]!]! + ground.skipped[j + 1]! - ground.skipped[hi[i]! + 1]!
}
