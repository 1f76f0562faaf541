import type { CallMark } from './callMark.ts'

/** Wrong calls beside a right one. */
const WRONG = 3

/**
 * The right call and up to three others of the same stage that mean something else, as like it as there are, in an order fixed by `turn` (a new one each time
 * the item is asked). Fewer where the stage has fewer calls of other meanings.
 */
export function choicesFor(
  marks: readonly CallMark[],
  right: number,
  turn: number,
): { texts: string[]; right: number } {
  const own = marks[right]
  if (!own) throw new RangeError(`choicesFor: no call ${right} of ${marks.length}`)
  const values = new Set(own.key.split(' | '))
  const seen = new Set([own.key])
  const others = marks
    .map((mark, index) => ({ mark, index, like: alike(mark.key, values) }))
    .sort((a, b) => b.like - a.like || scatter(a.index, turn) - scatter(b.index, turn))
    .filter(({ mark }) => !seen.has(mark.key) && seen.add(mark.key))
    .slice(0, WRONG)
    .map(({ mark }) => mark.text)
  const at = Math.floor(scatter(right, turn) * (others.length + 1))
  return { texts: [...others.slice(0, at), own.text, ...others.slice(at)], right: at }
}

function alike(key: string, values: ReadonlySet<string>): number {
  const other = key.split(' | ')
  return other.filter((value) => values.has(value)).length / Math.max(other.length, values.size)
}

/** A fixed number in [0, 1) for a pair of whole numbers, without pattern to the eye. */
export function scatter(a: number, b: number): number {
  let t = Math.imul(a + 1, 0x9e3779b1) ^ Math.imul(b + 1, 0x85ebca6b)
  t = Math.imul(t ^ (t >>> 15), 0x2c1b3c6d)
  return ((t ^ (t >>> 13)) >>> 0) / 4294967296
}
