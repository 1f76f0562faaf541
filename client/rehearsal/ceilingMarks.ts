export interface CeilingMark {
  /** Percent of the slider's length. */
  readonly at: number
  readonly words: string
}

/** Room a mark's words take on a narrow slider, percent: nearer marks share their words. */
const APART = 22

/** Marks of a slider, left to right; those too near to be read apart become one, at the lowest, with all their words. */
export function ceilingMarks(marks: readonly CeilingMark[]): CeilingMark[] {
  const joined: CeilingMark[] = []
  for (const mark of [...marks].sort((a, b) => a.at - b.at)) {
    const last = joined.at(-1)
    if (last && mark.at - last.at < APART)
      joined[joined.length - 1] = { at: last.at, words: `${last.words}, ${mark.words}` }
    else joined.push(mark)
  }
  return joined
}
