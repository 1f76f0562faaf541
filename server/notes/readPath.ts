import { CLASS, CLASSES, PRICED_BY } from './classes.ts'
import type { Matches } from './matches.ts'
import type { GradeSystem } from './notes.ts'
import { LEVELS, START_PRICES } from './startPrice.ts'

/** States this much dearer than the cheapest at a node are dropped. */
const BEAM = 9
const OTHER_ORDER = 1.5
const EITHER_ORDER = 0.3
const ABOVE_SCALE = 1.5
const ANGLE_KNOWN = 0.2
const ANGLE_TYPED = 0.8
const ANGLE_DICTATED = 1.6

/** Prices by what they hang on (bits of PRICED_BY): what is settled of the grade system, and what is not. */
export function systemPrices(q: {
  readonly system: GradeSystem
  readonly known: { readonly order: boolean; readonly degrees: boolean; readonly scale: boolean }
  readonly dictated: boolean
}): Float64Array {
  const gradeFirst = q.system.order === 'grade-first'
  return Float64Array.from({ length: 16 }, (_, flags) => {
    let price = 0
    if (flags & PRICED_BY.gradeFirst && q.known.order && !gradeFirst) price += OTHER_ORDER
    if (flags & PRICED_BY.sideFirst) price += !q.known.order ? EITHER_ORDER : gradeFirst ? OTHER_ORDER : 0
    if (flags & PRICED_BY.bareAngle) price += q.known.degrees ? ANGLE_KNOWN : q.dictated ? ANGLE_DICTATED : ANGLE_TYPED
    if (flags & PRICED_BY.aboveSix && q.known.scale && q.system.scale === 6) price += ABOVE_SCALE
    return price
  })
}

/**
 * Best readings through a net of words by dynamic programming: a state is a node and the class of the element that ended there, so the work grows
 * with the text's length and no faster.
 */
export class Reader {
  /** Cheapest cost to a state; by node × CLASSES + class. */
  readonly reach: Float64Array
  private readonly byMatch: Int32Array
  private readonly byClass: Uint8Array
  /** Classes reached at a node, as bits. */
  readonly live: Int32Array
  /** Cheapest cost from a state to the end; filled by `lookBack`. */
  rest: Float64Array | null = null
  private onMatch: Int32Array | null = null
  readonly matches: Matches
  readonly prices: Float64Array
  private readonly nowClass = new Uint8Array(CLASSES)
  private readonly nowCost = new Float64Array(CLASSES)

  constructor(matches: Matches, prices: Float64Array) {
    this.matches = matches
    this.prices = prices
    const { nodes } = matches.lexemes.lattice
    this.reach = new Float64Array(nodes * CLASSES)
    this.byMatch = new Int32Array(nodes * CLASSES)
    this.byClass = new Uint8Array(nodes * CLASSES)
    this.live = new Int32Array(nodes)
    this.forward()
  }

  /** Place in START_PRICES of a match: what may come before it is added. */
  priceRow(match: number): number {
    const { matches } = this
    const level = Math.min(LEVELS - 1, matches.lexemes.lattice.apart[matches.node.at[match]!]!)
    return (level * CLASSES + matches.priced.at[match]!) * CLASSES
  }

  private forward(): void {
    const { matches, reach, byMatch, byClass, live, nowClass, nowCost, prices } = this
    const { lattice } = matches.lexemes
    const { order, apart } = lattice
    const cls = matches.cls.at
    const nextOf = matches.next.at
    const costOf = matches.cost.at
    const flagsOf = matches.flags.at
    const pricedOf = matches.priced.at
    live[0] = 1 << CLASS.begin
    for (let k = 0; k < order.length - 1; k++) {
      const node = order[k]!
      let bits = live[node]!
      if (bits === 0) continue
      let least = Number.POSITIVE_INFINITY
      for (let c = 0, rest = bits; rest !== 0; c++, rest >>>= 1) {
        if (rest & 1 && reach[node * CLASSES + c]! < least) least = reach[node * CLASSES + c]!
      }
      let states = 0
      for (let c = 0; bits !== 0; c++, bits >>>= 1) {
        if ((bits & 1) === 0 || reach[node * CLASSES + c]! > least + BEAM) continue
        nowClass[states] = c
        nowCost[states++] = reach[node * CLASSES + c]!
      }
      const level = Math.min(apart[node]!, 2)
      const end = matches.start[node]! + matches.count[node]!
      for (let match = matches.start[node]!; match < end; match++) {
        const row = (level * CLASSES + pricedOf[match]!) * CLASSES
        let best = Number.POSITIVE_INFINITY
        let from = 0
        for (let s = 0; s < states; s++) {
          const cost = nowCost[s]! + START_PRICES[row + nowClass[s]!]!
          if (cost < best) {
            best = cost
            from = nowClass[s]!
          }
        }
        best += costOf[match]! + prices[flagsOf[match]!]!
        const next = nextOf[match]!
        const c = cls[match]!
        const at = next * CLASSES + c
        if ((live[next]! & (1 << c)) !== 0 && best >= reach[at]! - 1e-12) continue
        live[next]! |= 1 << c
        reach[at] = best
        byMatch[at] = match
        byClass[at] = from
      }
    }
  }

  /** Cheapest state at the end: its class, or −1 when nothing gets there. */
  lastClass(): number {
    const { live, reach, matches } = this
    const end = matches.lexemes.lattice.tokens.length
    let found = -1
    for (let c = 0; c < CLASSES; c++) {
      if ((live[end]! >>> c) & 1 && (found < 0 || reach[end * CLASSES + c]! < reach[end * CLASSES + found]!)) found = c
    }
    return found
  }

  /** Matches of the best reading in order. */
  best(): number[] {
    const last = this.lastClass()
    return last < 0 ? [] : this.back(this.matches.lexemes.lattice.tokens.length, last)
  }

  /** Matches of the cheapest way to a state, up to (not including) the first state `stop` says yes to. */
  back(node: number, cls: number, stop: Uint8Array | null = null): number[] {
    const path: number[] = []
    while (node !== 0 || cls !== CLASS.begin) {
      if (stop !== null && stop[node * CLASSES + cls] === 1) break
      const at = node * CLASSES + cls
      const match = this.byMatch[at]!
      path.push(match)
      node = this.matches.node.at[match]!
      cls = this.byClass[at]!
    }
    return path.reverse()
  }

  /** Cheapest cost from every state that was reached to the end. */
  lookBack(): Float64Array {
    if (this.rest !== null) return this.rest
    const { matches, live, prices } = this
    const { order } = matches.lexemes.lattice
    const rest = new Float64Array(this.reach.length).fill(Number.POSITIVE_INFINITY)
    const onMatch = new Int32Array(this.reach.length).fill(-1)
    const end = matches.lexemes.lattice.tokens.length
    rest.fill(0, end * CLASSES, (end + 1) * CLASSES)
    for (let k = order.length - 2; k >= 0; k--) {
      const node = order[k]!
      if (live[node] === 0) continue
      const last = matches.start[node]! + matches.count[node]!
      for (let match = matches.start[node]!; match < last; match++) {
        const after = rest[matches.next.at[match]! * CLASSES + matches.cls.at[match]!]!
        const own = after + matches.cost.at[match]! + prices[matches.flags.at[match]!]!
        const row = this.priceRow(match)
        for (let c = 0, bits = live[node]!; bits !== 0; c++, bits >>>= 1) {
          if ((bits & 1) === 0) continue
          const cost = own + START_PRICES[row + c]!
          const at = node * CLASSES + c
          if (cost >= rest[at]!) continue
          rest[at] = cost
          onMatch[at] = match
        }
      }
    }
    this.rest = rest
    this.onMatch = onMatch
    return rest
  }

  /** The class before a match on the cheapest whole reading through it, and that reading's cost. */
  through(match: number): { before: number; cost: number } {
    const { matches, live, reach } = this
    const node = matches.node.at[match]!
    const row = this.priceRow(match)
    let before = -1
    let least = Number.POSITIVE_INFINITY
    for (let c = 0, bits = live[node]!; bits !== 0; c++, bits >>>= 1) {
      if ((bits & 1) === 0) continue
      const cost = reach[node * CLASSES + c]! + START_PRICES[row + c]!
      if (cost >= least) continue
      least = cost
      before = c
    }
    const own = matches.cost.at[match]! + this.prices[matches.flags.at[match]!]!
    const after = this.lookBack()[matches.next.at[match]! * CLASSES + matches.cls.at[match]!]!
    return { before, cost: least + own + after }
  }

  /** Matches of the cheapest way on from a state, up to the first state `stop` says yes to. */
  onward(node: number, cls: number, stop: Uint8Array): number[] {
    this.lookBack()
    const path: number[] = []
    const end = this.matches.lexemes.lattice.tokens.length
    while (node !== end && stop[node * CLASSES + cls] !== 1) {
      const match = this.onMatch![node * CLASSES + cls]!
      if (match < 0) break
      path.push(match)
      node = this.matches.next.at[match]!
      cls = this.matches.cls.at[match]!
    }
    return path
  }
}
