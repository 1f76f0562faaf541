/** A call heard, as a chain from the last back to the first. Frames of the take, half-open. */
export interface Link {
  readonly before: Link | null
  /** Position in the script. */
  readonly call: number
  readonly from: number
  readonly to: number
  /** Broken off at a word and begun again. */
  readonly partial: boolean
}

/** Where the best hypothesis stands now. */
export interface Standing {
  readonly link: Link | null
  /** Position of the call being said, −1 between calls; how far it is, 0…1; frame at which it began. */
  readonly call: number
  readonly share: number
  readonly from: number
}

/** A call still being said counts as heard once this share of it is out. */
const ENOUGH = 0.75

/** Calls heard, in the order they were said; `frame` is where the take ends. */
export function linksOf({ link, call, share, from }: Standing, frame: number, mostOf = ENOUGH): Link[] {
  const heard: Link[] = []
  if (call >= 0 && share >= mostOf) heard.push({ before: link, call, from, to: frame, partial: false })
  for (let one = link; one !== null; one = one.before) heard.push(one)
  return heard.reverse()
}
