import type { Builder } from './buildElement.ts'
import { CLASS, CLASSES } from './classes.ts'
import type { Reader } from './readPath.ts'

/** A place where another reading is nearly as cheap: what the best reading and the other say there, and how much dearer the other is. */
export interface Doubt {
  readonly best: readonly number[]
  readonly other: readonly number[]
  /** Text range in which the two differ. */
  readonly from: number
  readonly to: number
  readonly margin: number
}

/**
 * Second readings within `limit` of the best, nearest first. For every match off the best path the cheapest whole reading through it is known from a
 * sweep forward and one back; where that reading leaves the best one and comes back to it, the elements of the stretch are compared. Two ways to the
 * same elements are no doubt.
 */
export function findDoubts(reader: Reader, builder: Builder, path: readonly number[], limit: number): Doubt[] {
  const { matches } = reader
  const { lattice } = matches.lexemes
  const onPath = new Uint8Array(lattice.nodes * CLASSES)
  const place = new Int32Array(lattice.nodes).fill(-1)
  const taken = new Uint8Array(matches.cls.length)
  onPath[CLASS.begin] = 1
  place[0] = 0
  path.forEach((match, i) => {
    const next = matches.next.at[match]!
    onPath[next * CLASSES + matches.cls.at[match]!] = 1
    place[next] = i + 1
    taken[match] = 1
  })
  const last = reader.lastClass()
  if (last < 0) return []
  const least = reader.reach[lattice.tokens.length * CLASSES + last]!
  const near: { match: number; before: number; margin: number }[] = []
  for (let match = 0; match < matches.cls.length; match++) {
    if (taken[match] === 1 || reader.live[matches.node.at[match]!] === 0) continue
    const { before, cost } = reader.through(match)
    if (before >= 0 && cost - least < limit) near.push({ match, before, margin: Math.max(0, cost - least) })
  }
  near.sort((a, b) => a.margin - b.margin)
  const doubts: Doubt[] = []
  for (const { match, before, margin } of near) {
    const head = reader.back(matches.node.at[match]!, before, onPath)
    const tail = reader.onward(matches.next.at[match]!, matches.cls.at[match]!, onPath)
    const other = [...head, match, ...tail]
    const first = place[matches.node.at[other[0]!]!]!
    const end = place[matches.next.at[other.at(-1)!]!]!
    if (first < 0 || end < first) continue
    const doubt = compare(builder, path.slice(first, end), other, margin)
    if (doubt) doubts.push(doubt)
  }
  return doubts
}

/** The stretch in which two readings differ, without what they have in common at both ends; null where they say the same. */
function compare(builder: Builder, best: readonly number[], other: readonly number[], margin: number): Doubt | null {
  let first = 0
  while (first < best.length && first < other.length && same(builder, best[first]!, other[first]!)) first++
  let a = best.length
  let b = other.length
  while (a > first && b > first && same(builder, best[a - 1]!, other[b - 1]!)) {
    a--
    b--
  }
  const ours = best.slice(first, a)
  const theirs = other.slice(first, b)
  if (ours.length === 0 && theirs.length === 0) return null
  const all = [...ours, ...theirs]
  const from = Math.min(...all.map((match) => builder.from(match)))
  const to = Math.max(...all.map((match) => builder.to(match)))
  return { best: ours, other: theirs, from, to, margin }
}

function same(builder: Builder, a: number, b: number): boolean {
  return a === b || (builder.from(a) === builder.from(b) && builder.meant(a) === builder.meant(b))
}
