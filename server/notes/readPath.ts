import { type Lattice, type Lexeme, lexemesAt, separationCost } from './lattice.ts'
import type { Lexicon } from './lexicon.ts'
import type { Class, Match } from './match.ts'
import { cornersFromGrade, cornersFromSide, type Reading } from './matchCorners.ts'
import { changes, entries, features, keeps } from './matchFeatures.ts'
import { distances, singles, unknownWord } from './matchSimple.ts'
import type { GradeSystem } from './notes.ts'
import { startPrice } from './startPrice.ts'

export interface ReadingSettings {
  readonly system: GradeSystem
  readonly known: Reading['known']
  readonly dictated: boolean
  readonly unit: number
  /** Added to a distance at a node's share of the text. */
  readonly distanceCost?: (metres: number, shareOfText: number) => number
}

/** One reading of the text: elements in order and the sum of their costs. */
export interface Path {
  readonly matches: readonly Match[]
  readonly cost: number
}

interface Entry {
  readonly cost: number
  readonly match: Match | null
  readonly cls: Class
  readonly before: Entry | null
}

/** States this much dearer than the cheapest at a node are dropped. */
const BEAM = 9

/** A reader of one lattice: matches are found once a node, whatever stretch is read. */
export class LatticeReader {
  private readonly lexemeCache: (Lexeme[] | undefined)[] = []
  private readonly matchCache: (Match[] | undefined)[] = []
  private readonly reading: Reading
  readonly lattice: Lattice
  private readonly lexicon: Lexicon
  private readonly settings: ReadingSettings

  constructor(lattice: Lattice, lexicon: Lexicon, settings: ReadingSettings) {
    this.lattice = lattice
    this.lexicon = lexicon
    this.settings = settings
    this.reading = {
      ...settings,
      lexemes: (node) => this.lexemes(node),
      apart: (node) => separationCost(lattice, node, settings.dictated),
    }
  }

  private lexemes(node: number): Lexeme[] {
    return (this.lexemeCache[node] ??=
      node < this.lattice.arcs.length ? lexemesAt(this.lattice, this.lexicon, node, this.settings.dictated) : [])
  }

  /** Every element that can begin at a node. */
  matches(node: number): Match[] {
    return (this.matchCache[node] ??= this.findMatches(node))
  }

  private findMatches(node: number): Match[] {
    const found: Match[] = []
    const { reading } = this
    for (const lexeme of this.lexemes(node)) {
      if (lexeme.number !== null) {
        found.push(...cornersFromGrade(lexeme, reading), ...distances(lexeme, reading))
        continue
      }
      found.push(...singles(lexeme))
      switch (lexeme.row!.kind) {
        case 'grade':
          found.push(...cornersFromGrade(lexeme, reading))
          break
        case 'direction':
          found.push(...cornersFromSide(lexeme, reading))
          break
        case 'change':
          found.push(...changes(lexeme, reading))
          break
        case 'keep':
          found.push(...keeps(lexeme, reading))
          break
        case 'shape':
          found.push(...entries(lexeme, reading))
          break
        default:
          found.push(...features(lexeme, reading))
      }
    }
    for (const arc of this.lattice.arcs[node]!) if (arc.repair === null) found.push(unknownWord(arc))
    const { distanceCost } = this.settings
    if (!distanceCost) return found
    const share = node / Math.max(1, this.lattice.tokens.length)
    return found.map((one) =>
      one.meaning.is === 'distance' ? { ...one, cost: one.cost + distanceCost(one.meaning.length, share) } : one,
    )
  }

  /**
   * Cheapest reading from `from` to `to`, after an element of class `after`. `allowed` may forbid matches (to find the next-best reading);
   * `then` is the element that follows, whose own start is priced in. Null when nothing gets through.
   */
  read(
    from: number,
    to: number,
    after: Class = 'start of text',
    q: { allowed?: (match: Match) => boolean; then?: Match | undefined } = {},
  ): Path | null {
    const fronts = new Map<number, Map<Class, Entry>>([
      [from, new Map([[after, { cost: 0, match: null, cls: after, before: null }]])],
    ])
    const { order, tokens } = this.lattice
    let at = order.indexOf(from, Math.max(0, from))
    if (at < 0) at = order.indexOf(from)
    for (; at < order.length && order[at] !== to; at++) {
      const node = order[at]!
      const front = fronts.get(node)
      if (!front) continue
      fronts.delete(node)
      let least = Number.POSITIVE_INFINITY
      for (const entry of front.values()) least = Math.min(least, entry.cost)
      const before = tokens[node]?.before ?? 0
      for (const match of this.matches(node)) {
        if (q.allowed && !q.allowed(match)) continue
        for (const entry of front.values()) {
          if (entry.cost > least + BEAM) continue
          const cost = entry.cost + match.cost + startPrice(entry.cls, match, before)
          relax(fronts, match.next, { cost, match, cls: match.cls, before: entry })
        }
      }
    }
    return best(fronts.get(to), q.then, tokens[to]?.before ?? 0)
  }
}

function relax(fronts: Map<number, Map<Class, Entry>>, node: number, entry: Entry): void {
  let front = fronts.get(node)
  if (!front) fronts.set(node, (front = new Map()))
  const known = front.get(entry.cls)
  if (!known || entry.cost < known.cost - 1e-12) front.set(entry.cls, entry)
}

function best(front: Map<Class, Entry> | undefined, then: Match | undefined, before: number): Path | null {
  let found: Entry | null = null
  let least = Number.POSITIVE_INFINITY
  for (const entry of front?.values() ?? []) {
    const cost = entry.cost + (then ? startPrice(entry.cls, then, before) : 0)
    if (cost >= least) continue
    least = cost
    found = entry
  }
  if (found === null) return null
  const matches: Match[] = []
  for (let entry: Entry | null = found; entry?.match; entry = entry.before) matches.push(entry.match)
  return { matches: matches.reverse(), cost: least }
}
