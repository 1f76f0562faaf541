import type { Metres } from '../units.ts'

/** Pieces of road tested against each other, and the squares they are sorted into. */
const PIECE: Metres = 4

/** How often a road on 1 m stations crosses itself in plan: pairs of pieces, not neighbours, that meet. O(length) for a road that goes somewhere. */
export function countCrossings(x: ArrayLike<number>, y: ArrayLike<number>): number {
  const squares = new Map<string, number[]>()
  let crossings = 0
  let last = Number.NEGATIVE_INFINITY
  for (let i = 0; i + PIECE < x.length; i += PIECE) {
    const sx = Math.floor(x[i]! / (2 * PIECE))
    const sy = Math.floor(y[i]! / (2 * PIECE))
    let crosses = false
    for (let dx = -1; dx <= 1; dx++)
      for (let dy = -1; dy <= 1; dy++)
        for (const k of squares.get(`${sx + dx} ${sy + dy}`) ?? [])
          if (i - k > 2 * PIECE && meet(x, y, k, i)) crosses = true
    // Two pieces can share the meeting point: it is counted once.
    if (crosses && i - last > 2 * PIECE) crossings++
    if (crosses) last = i
    const key = `${sx} ${sy}`
    const inside = squares.get(key)
    if (inside) inside.push(i)
    else squares.set(key, [i])
  }
  return crossings
}

/** Strictly: two pieces of one straight lie along each other and cross nowhere. */
function meet(x: ArrayLike<number>, y: ArrayLike<number>, a: number, b: number): boolean {
  const side = (i: number, j: number) =>
    (x[i + PIECE]! - x[i]!) * (y[j]! - y[i]!) - (y[i + PIECE]! - y[i]!) * (x[j]! - x[i]!)
  return side(a, b) * side(a, b + PIECE) < 0 && side(b, a) * side(b, a + PIECE) < 0
}
