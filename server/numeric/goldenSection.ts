/** 1/φ: the share of a bracket kept at each step. */
const GOLDEN = (Math.sqrt(5) - 1) / 2

/**
 * Least point of a function with one dip in [low, high], to within `close` > 0, by golden-section search (Kiefer 1953): one evaluation a step.
 * Throws RangeError for a bracket that is not in order or `close` not > 0.
 */
export function goldenSection(score: (x: number) => number, low: number, high: number, close: number): number {
  if (!(low <= high)) throw new RangeError(`goldenSection: low ${low} is above high ${high}`)
  if (!(close > 0)) throw new RangeError(`goldenSection: close must be > 0, got ${close}`)
  let a = high - GOLDEN * (high - low)
  let b = low + GOLDEN * (high - low)
  let atA = score(a)
  let atB = score(b)
  while (high - low > close) {
    if (atA < atB) {
      high = b
      b = a
      atB = atA
      a = high - GOLDEN * (high - low)
      atA = score(a)
    } else {
      low = a
      a = b
      atA = atB
      b = low + GOLDEN * (high - low)
      atB = score(b)
    }
  }
  return (low + high) / 2
}
