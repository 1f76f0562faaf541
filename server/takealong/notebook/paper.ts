/** Paper and type of a notebook; lengths in millimetres, type in points. */
export interface Paper {
  readonly name: 'A5' | 'A6'
  readonly landscape: boolean
  readonly type: number
  /** At most so many lines on a page, or null for as many as it holds. */
  readonly lines: number | null
}

export interface Layout {
  readonly width: number
  readonly height: number
  readonly margin: number
  readonly header: number
  readonly footer: number
  readonly strip: number
  readonly distance: number
  /** One line of text, and the room between two calls. */
  readonly line: number
  readonly between: number
  /** Room for calls, in hundredths of a millimetre. */
  readonly capacity: number
  /** Room for a call's words, in units of the type size. */
  readonly measure: number
}

/** ISO 216, millimetres. */
export const SIZES = { A5: [148, 210], A6: [105, 148] } as const
/** Points that are read at arm's length in a moving seat: common practice, no source. */
export const USUAL_TYPE = { A5: 15, A6: 12 } as const
export const LEAST_TYPE = 7
export const MOST_TYPE = 40

/** One point is 1/72 inch. */
export const MM_PER_POINT = 25.4 / 72
const LINE_HEIGHT = 1.3
/** Text is measured without the browser, so a little is kept back. */
const KEPT_BACK = 0.98

/** Where everything stands on a page. Throws RangeError where the type leaves no room for two lines. */
export function layOut(paper: Paper): Layout {
  if (!(paper.type >= LEAST_TYPE && paper.type <= MOST_TYPE))
    throw new RangeError(`layOut: type must be ${LEAST_TYPE} to ${MOST_TYPE} pt, got ${paper.type}`)
  const [short, long] = SIZES[paper.name]
  const [width, height] = paper.landscape ? [long, short] : [short, long]
  const small = paper.name === 'A6'
  const em = paper.type * MM_PER_POINT
  const fixed = {
    width,
    height,
    margin: small ? 6 : 8,
    header: small ? 7 : 8,
    footer: small ? 11.5 : 11,
    strip: small ? 14 : 20,
    distance: 2.75 * em,
    line: LINE_HEIGHT * em,
    between: 0.35 * em,
  }
  const all = height - 2 * fixed.margin - fixed.header - fixed.footer
  const wanted =
    paper.lines === null ? all : Math.min(all, paper.lines * fixed.line + (paper.lines - 1) * fixed.between)
  const measure = ((width - 2 * fixed.margin - fixed.strip - 3 - fixed.distance) / em) * KEPT_BACK
  const capacity = Math.floor(wanted * 100)
  if (!(measure >= 4 && all >= 2 * fixed.line && capacity >= fixed.line * 100))
    throw new RangeError(
      `layOut: ${paper.type} pt leaves no room on ${paper.name}${paper.landscape ? ' landscape' : ''}`,
    )
  return { ...fixed, capacity, measure }
}
