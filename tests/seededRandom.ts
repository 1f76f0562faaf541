/**
 * Repeatable random numbers in [0, 1): mulberry32 (Tommy Ettinger, public domain). Same seed, same sequence, on every machine.
 */
export function seededRandom(seed: number): () => number {
  if (!Number.isInteger(seed)) throw new RangeError(`seededRandom: seed must be a whole number, got ${seed}`)
  let state = seed >>> 0
  return () => {
    state = (state + 0x6d2b79f5) >>> 0
    let t = state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296
  }
}

/** A normal deviate, mean 0 and standard deviation 1 (Box–Muller). */
export function seededNormal(random: () => number): number {
  return Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random())
}
