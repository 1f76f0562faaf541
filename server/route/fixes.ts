/** Points of a log on a plane, parallel arrays of one length. */
export interface Fixes {
  x: number[]
  y: number[]
  z: (number | null)[]
  /** Seconds since the first fix; null throughout for a drawn line. */
  t: number[] | null
}

/** The fixes chosen; the input is not changed. */
export function keep(fixes: Fixes, kept: (i: number) => boolean): Fixes {
  const pick = <T>(values: readonly T[]) => values.filter((_, i) => kept(i))
  return { x: pick(fixes.x), y: pick(fixes.y), z: pick(fixes.z), t: fixes.t === null ? null : pick(fixes.t) }
}
