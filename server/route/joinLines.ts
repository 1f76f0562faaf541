import type { Metres, MetresPerSecond, Seconds } from '../units.ts'
import { type ChainLink, chainLines, turnedRound } from './chainLines.ts'
import { distance, inSpace, lengthOf, lineEnd, type Piece } from './lineEnds.ts'
import type { RoadLine, RouteDraft } from './route.ts'
import { RouteFileError } from './routeFileError.ts'

export interface Joined {
  /** One line without breaks. */
  readonly draft: RouteDraft
  readonly lines: readonly RoadLine[]
}

/** Drawn lines whose ends are nearer than this are one road; farther apart they are two (our choice: wider than a village square, narrower than a field). */
const ONE_ROAD: Metres = 250
/** Pieces of a log are one drive where the way between could be driven in the time between, and is no longer than a tunnel or a lost hour. */
const FASTEST: MetresPerSecond = 50
const LONGEST_GAP: Metres = 5000
/** Ends nearer than this meet. */
const MEET: Metres = 5
/** Two runs over a road start and end this near each other, and are as long to this share. */
const SAME_ENDS: Metres = 100
const SAME_LENGTH = 0.1
/** Pace at which the way between two pieces of different logs is taken; the clock there says nothing. */
const BETWEEN: MetresPerSecond = 10
const MOST_LINES = 500
/** Points of one line farther apart than this are two places, not a road. */
const TORN: Metres = 100_000

interface Line extends Piece {
  readonly source: number
  readonly name: string
  readonly length: Metres
  readonly starts: Seconds | null
  readonly ends: Seconds | null
}

/**
 * One line out of all the lines of one or several files. Within a file: pieces of a log follow their times; drawn lines are joined by nearest ends (chainLines),
 * some driven backwards to meet the one before. The longest road so found is taken and the rest told as left out; where a crew has chosen lines (numbers in the
 * order of files and lines in them) all of those are joined, however far apart. Several files are always joined, by their nearest ends. What was bridged, turned
 * round or left out is in the losses. Throws RouteFileError when files in metres and in degrees are mixed, or a chosen line is not there.
 */
export function joinLines(drafts: readonly RouteDraft[], chosen: readonly number[] | null = null): Joined {
  const all = together(drafts)
  const lines = linesOf(drafts, all)
  const only = lines.length === 1
  for (const one of chosen ?? [])
    if (!lines[one]) throw new RouteFileError(`There is no line ${one + 1} in these files; they hold ${lines.length}.`)
  const losses: Record<string, number> = { ...all.losses }
  const lose = (reason: string, count: number) => {
    if (count > 0) losses[reason] = (losses[reason] ?? 0) + count
  }
  const usable = lines.flatMap((line, i) => (line.to - line.from >= 2 || only ? [i] : []))
  lose('points standing alone, left out', lines.length - usable.length)
  const pieces = drafts.reduce((sum, draft) => sum + 1 + draft.breaks.length, 0)
  lose('lines broken where points lie more than 100 km apart', lines.length - pieces)
  const wanted = chosen === null || chosen.length === 0 ? usable : usable.filter((i) => chosen.includes(i))
  if (wanted.length === 0)
    throw new RouteFileError(
      `"${all.file ?? all.name}" holds no road: no two of its points are nearer to each other than ${TORN / 1000} km. Export one road.`,
    )
  const order = only ? [{ line: 0, reversed: false }] : roadOf(all, lines, wanted, chosen !== null && chosen.length > 0)
  lose('other lines in the file, left out: choose them under Road', wanted.length - order.length)
  lose('lines not chosen, left out', usable.length - wanted.length)
  const draft = written(all, lines, order, lose)
  const used = new Map(order.map((link) => [link.line, link]))
  return { draft: { ...draft, losses }, lines: lines.map((one, i) => told(one, drafts, used.get(i) ?? null)) }
}

function told(line: Line, drafts: readonly RouteDraft[], link: ChainLink | null): RoadLine {
  const { file, name } = drafts[line.source]!
  return {
    name: line.name,
    file: file ?? name,
    length: line.length,
    points: line.to - line.from,
    used: link !== null,
    reversed: link?.reversed ?? false,
  }
}

/** All points of all files one after another, breaks between them. */
function together(drafts: readonly RouteDraft[]): RouteDraft {
  const first = drafts[0]!
  if (drafts.length === 1) return first
  const other = drafts.find((one) => one.frame !== first.frame)
  if (other)
    throw new RouteFileError(
      `"${other.file ?? other.name}" is in ${other.frame === 'planar' ? 'metres' : 'degrees'} and "${first.file ?? first.name}" in ${first.frame === 'planar' ? 'metres' : 'degrees'}; they cannot be joined. Export both the same way.`,
    )
  const losses: Record<string, number> = {}
  for (const one of drafts)
    for (const [reason, count] of Object.entries(one.losses)) losses[reason] = (losses[reason] ?? 0) + count
  const spread = <T>(pick: (one: RouteDraft) => readonly T[] | undefined, empty: T) =>
    drafts.some(pick) ? drafts.flatMap((one) => pick(one) ?? one.northing.map(() => empty)) : undefined
  const width = spread<number | null>((one) => one.width, null)
  const bank = spread<number | null>((one) => one.bank, null)
  return {
    name: first.name,
    file: drafts.map((one) => one.file ?? one.name).join('" and "'),
    format: first.format,
    frame: first.frame,
    northing: drafts.flatMap((one) => one.northing),
    easting: drafts.flatMap((one) => one.easting),
    height: drafts.flatMap((one) => one.height),
    time: drafts.flatMap((one) => one.time),
    breaks: [],
    losses,
    ...(width ? { width } : {}),
    ...(bank ? { bank } : {}),
    ...(drafts.every((one) => one.exact) ? { exact: true } : {}),
  }
}

function linesOf(drafts: readonly RouteDraft[], all: RouteDraft): Line[] {
  let before = 0
  return drafts.flatMap((draft, source) => {
    const offset = before
    const starts = tornAt(all, offset, draft)
    before += draft.northing.length
    return starts.map((from, i): Line => {
      const piece = { from: offset + from, to: offset + (starts[i + 1] ?? draft.northing.length) }
      const clocked = piece.to > piece.from && draft.time.slice(from, piece.to - offset).every((time) => time !== null)
      return {
        ...piece,
        source,
        name: draft.names?.[nameAt(draft, from)] || (starts.length > 1 ? `line ${i + 1}` : draft.name),
        length: piece.to > piece.from ? lengthOf(all, piece) : 0,
        starts: clocked ? all.time[piece.from]! : null,
        ends: clocked ? all.time[piece.to - 1]! : null,
      }
    })
  })
}

/** First points of a draft's pieces, also of those that a leap of more than 100 km makes. */
function tornAt(all: RouteDraft, offset: number, draft: RouteDraft): number[] {
  const starts = new Set([0, ...draft.breaks])
  for (let i = 1; i < draft.northing.length; i++)
    if (distance(inSpace(all, offset + i - 1), inSpace(all, offset + i)) > TORN) starts.add(i)
  return [...starts].sort((a, b) => a - b)
}

/** Number of the piece of a draft that a point is in. */
const nameAt = (draft: RouteDraft, point: number) => draft.breaks.filter((start) => start <= point).length

/** Which lines make the road, in which order and direction. */
function roadOf(all: RouteDraft, lines: readonly Line[], wanted: readonly number[], everything: boolean): ChainLink[] {
  const sources = [...new Set(wanted.map((i) => lines[i]!.source))]
  const chains = sources.flatMap((source) => {
    const own = wanted.filter((i) => lines[i]!.source === source)
    const clocked = own.every((i) => lines[i]!.starts !== null)
    // Designed roads are joined by their links, in reading.
    const found = all.exact
      ? own.map((line) => [{ line, reversed: false }])
      : clocked
        ? byTime(all, lines, own)
        : byEnds(all, lines, own)
    return everything ? found : [longest(found, lines)]
  })
  if (chains.length > MOST_LINES)
    throw new RouteFileError(
      `${chains.length} lines that do not meet are more than can be joined; choose ${MOST_LINES} at most.`,
    )
  return chains.length === 1 ? chains[0]! : inOneChain(all, lines, chains)
}

const along = (chain: readonly ChainLink[], lines: readonly Line[]) =>
  chain.reduce((sum, { line }) => sum + lines[line]!.length, 0)

function longest(chains: readonly ChainLink[][], lines: readonly Line[]): ChainLink[] {
  return chains.reduce((best, one) => (along(one, lines) > along(best, lines) ? one : best))
}

function byTime(all: RouteDraft, lines: readonly Line[], own: readonly number[]): ChainLink[][] {
  const inOrder = [...own].sort((a, b) => lines[a]!.starts! - lines[b]!.starts! || a - b)
  const chains: ChainLink[][] = []
  for (const i of inOrder) {
    const last = chains.at(-1)?.at(-1)
    const before = last === undefined ? null : lines[last.line]!
    const gap = before === null ? 0 : distance(inSpace(all, before.to - 1), inSpace(all, lines[i]!.from))
    const pause = before === null ? 0 : lines[i]!.starts! - before.ends!
    // A way between that is longer than anything driven is no tunnel.
    const driven = Math.max(lines[i]!.length, chains.length > 0 ? along(chains.at(-1)!, lines) : 0)
    const goesOn = pause >= 0 && gap <= Math.max(MEET, Math.min(LONGEST_GAP, FASTEST * pause, driven))
    if (before !== null && goesOn && !isAnotherRun(all, lines, chains.at(-1)!, lines[i]!))
      chains.at(-1)!.push({ line: i, reversed: false })
    else chains.push([{ line: i, reversed: false }])
  }
  return chains
}

/** The same road driven once more: it starts and ends where the chain does, one way or the other, and is about as long. */
function isAnotherRun(all: RouteDraft, lines: readonly Line[], chain: readonly ChainLink[], next: Line): boolean {
  const length = along(chain, lines)
  if (Math.abs(next.length - length) > SAME_LENGTH * length) return false
  const [start, end] = [inSpace(all, lines[chain[0]!.line]!.from), inSpace(all, lines[chain.at(-1)!.line]!.to - 1)]
  const [from, to] = [inSpace(all, next.from), inSpace(all, next.to - 1)]
  const apart = Math.min(
    Math.max(distance(start, from), distance(end, to)),
    Math.max(distance(start, to), distance(end, from)),
  )
  return apart <= SAME_ENDS && distance(start, end) > SAME_ENDS
}

function byEnds(all: RouteDraft, lines: readonly Line[], own: readonly number[]): ChainLink[][] {
  const toJoin = own.map((i) => ({
    ends: [lineEnd(all, lines[i]!, 0), lineEnd(all, lines[i]!, 1)] as const,
    length: lines[i]!.length,
  }))
  return chainLines(toJoin, ONE_ROAD).map((chain) => chain.map((link) => ({ ...link, line: own[link.line]! })))
}

/** Chains joined by their nearest ends, whatever the way between; the first keeps its direction. */
function inOneChain(all: RouteDraft, lines: readonly Line[], chains: readonly ChainLink[][]): ChainLink[] {
  const outer = chains.map((chain) => {
    const [first, last] = [chain[0]!, chain.at(-1)!]
    return {
      ends: [
        lineEnd(all, lines[first.line]!, first.reversed ? 1 : 0),
        lineEnd(all, lines[last.line]!, last.reversed ? 0 : 1),
      ] as const,
      length: along(chain, lines),
    }
  })
  const found = chainLines(outer, Number.POSITIVE_INFINITY)[0]!
  const inOrder = found.find(({ line }) => line === 0)!.reversed ? turnedRound(found) : found
  return inOrder.flatMap(({ line, reversed }) => (reversed ? turnedRound(chains[line]!) : chains[line]!))
}

/** The points in the order they are driven; clocks of pieces turned round or out of order are set on behind each other. */
function written(
  all: RouteDraft,
  lines: readonly Line[],
  order: readonly ChainLink[],
  lose: (reason: string, count: number) => void,
): RouteDraft {
  const alone = order.length === 1 && !order[0]!.reversed ? lines[order[0]!.line]! : null
  const { names: _names, ...rest } = all
  if (alone?.from === 0 && alone.to === all.northing.length) return { ...rest, breaks: [] }
  const at: number[] = []
  const time: (number | null)[] = []
  let gaps = 0
  let widest = 0
  for (const { line, reversed } of order) {
    const piece = lines[line]!
    const step = reversed ? -1 : 1
    const begin = reversed ? piece.to - 1 : piece.from
    const gap = at.length === 0 ? 0 : distance(inSpace(all, at.at(-1)!), inSpace(all, begin))
    if (gap > MEET) gaps++
    widest = Math.max(widest, gap)
    const before = time.at(-1) ?? null
    const first = all.time[begin] ?? null
    const inTime = !reversed && (before === null || (first !== null && first >= before))
    for (let i = begin; i >= piece.from && i < piece.to; i += step) {
      at.push(i)
      const own = all.time[i] ?? null
      const since = own === null || first === null ? null : Math.abs(own - first)
      time.push(inTime || since === null ? own : (before ?? first!) + Math.max(1, gap / BETWEEN) + since)
    }
  }
  lose('lines joined to one road, by time or by nearest ends', order.length > 1 ? order.length : 0)
  lose('lines driven backwards, to meet the one before', order.filter((link) => link.reversed).length)
  lose(`gaps between lines, bridged straight (the widest ${widest.toFixed(0)} m)`, gaps)
  const pick = <T>(values: readonly T[]) => at.map((i) => values[i]!)
  return {
    ...rest,
    northing: pick(all.northing),
    easting: pick(all.easting),
    height: pick(all.height),
    time,
    breaks: [],
    ...(all.width ? { width: pick(all.width) } : {}),
    ...(all.bank ? { bank: pick(all.bank) } : {}),
  }
}
