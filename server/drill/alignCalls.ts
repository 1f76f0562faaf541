import type { CallMark } from './callMark.ts'

/** A call as it was known before: in its place, or taken out of the notes earlier. */
export interface KnownCall extends CallMark {
  readonly id: string
  readonly archived: boolean
}

/** What became of each call of the new notes. `kept` and `moved` keep all that is known; `changed` keeps the log; `offered` may be one of several. */
export type Fate =
  | { readonly is: 'kept' | 'moved' | 'changed'; readonly id: string }
  | { readonly is: 'new' }
  | { readonly is: 'offered'; readonly ids: readonly string[] }

/** Below this likeness two calls are not the same call changed. */
const ALIKE = 0.4
const SAME = 3
/** The corner itself counts this many times as much as a word beside it. */
const CORNER = 3

/**
 * Calls of edited notes laid against those known before, by content and order (global alignment, Needleman & Wunsch 1970, from memory); what that leaves is
 * sought among calls that moved or were taken out earlier: the same when its key is the only one of its kind, or both neighbours came with it; else offered.
 * Parallel to `next`; an id is used once. Known calls in no fate are gone from the notes.
 */
export function alignCalls(known: readonly KnownCall[], next: readonly CallMark[]): Fate[] {
  const old = known.filter((one) => !one.archived)
  const fates = new Array<Fate | undefined>(next.length)
  const used = new Set<string>()
  const take = (i: number, j: number) => {
    used.add(old[i]!.id)
    fates[j] = { is: old[i]!.key === next[j]!.key ? 'kept' : 'changed', id: old[i]!.id }
  }
  let head = 0
  while (head < old.length && head < next.length && old[head]!.key === next[head]!.key) take(head, head++)
  let tail = 0
  while (
    tail < old.length - head &&
    tail < next.length - head &&
    old[old.length - 1 - tail]!.key === next[next.length - 1 - tail]!.key
  ) {
    take(old.length - 1 - tail, next.length - 1 - tail)
    tail++
  }
  for (const [i, j] of alignMiddle(old, next, head, tail)) take(i, j)

  const free = known.filter((one) => !used.has(one.id))
  const count = (list: readonly CallMark[], key: string) => list.filter((one) => one.key === key).length
  next.forEach((mark, j) => {
    if (fates[j]) return
    const candidates = free.filter((one) => one.key === mark.key && !used.has(one.id))
    const came = candidates.find((one) => one.before === mark.before && one.after === mark.after)
    const only = candidates.length === 1 && count(next, mark.key) === 1 && count(old, mark.key) <= 1
    const same = came ?? (only ? candidates[0] : undefined)
    if (same) {
      used.add(same.id)
      fates[j] = { is: 'moved', id: same.id }
    } else fates[j] = candidates.length > 0 ? { is: 'offered', ids: candidates.map((one) => one.id) } : { is: 'new' }
  })
  return fates as Fate[]
}

/** Pairs of the part between equal heads and tails. */
function alignMiddle(
  old: readonly CallMark[],
  next: readonly CallMark[],
  head: number,
  tail: number,
): [number, number][] {
  const rows = old.length - head - tail
  const columns = next.length - head - tail
  if (rows <= 0 || columns <= 0) return []
  const wide = columns + 1
  const best = new Float32Array((rows + 1) * wide)
  const a = old.slice(head, head + rows).map((one) => valuesOf(one.key))
  const b = next.slice(head, head + columns).map((one) => valuesOf(one.key))
  for (let i = rows - 1; i >= 0; i--) {
    for (let j = columns - 1; j >= 0; j--) {
      const like = likeness(a[i]!, b[j]!)
      const pair = like >= ALIKE ? like + best[(i + 1) * wide + j + 1]! : -1
      best[i * wide + j] = Math.max(pair, best[(i + 1) * wide + j]!, best[i * wide + j + 1]!)
    }
  }
  const pairs: [number, number][] = []
  for (let i = 0, j = 0; i < rows && j < columns; ) {
    const here = best[i * wide + j]!
    const like = likeness(a[i]!, b[j]!)
    if (like >= ALIKE && Math.abs(here - like - best[(i + 1) * wide + j + 1]!) < 1e-4)
      pairs.push([head + i++, head + j++])
    else if (here === best[(i + 1) * wide + j]!) i++
    else j++
  }
  return pairs
}

const valuesOf = (key: string) => ({ key, values: key.split(' | ') })

/** SAME for one meaning; else the weighted share of values in common, 0…1 (Dice). A corner's own side or grade in common counts for half. */
function likeness(a: ReturnType<typeof valuesOf>, b: ReturnType<typeof valuesOf>): number {
  if (a.key === b.key) return SAME
  let common = 0
  let all = 0
  for (const value of a.values) {
    const weight = weightOf(value)
    all += weight
    if (b.values.includes(value)) common += 2 * weight
    else if (CORNER_VALUE.test(value) && b.values.some((other) => partOfCorner(value, other))) common += weight
  }
  for (const value of b.values) all += weightOf(value)
  return common / all
}

const CORNER_VALUE = /^[lr] /
const weightOf = (value: string) => (CORNER_VALUE.test(value) ? CORNER : 1)

function partOfCorner(a: string, b: string): boolean {
  if (!CORNER_VALUE.test(b)) return false
  return a[0] === b[0] || a.slice(2) === b.slice(2)
}
