import type { Metres, Seconds, StageTime } from '../../server/units.ts'

/** What the strip needs of a planned call. */
export interface StripCall {
  readonly say: string
  readonly start: StageTime
  readonly end: StageTime
  readonly actBy: StageTime
  readonly late: Seconds
}

export interface StripBlock {
  /** Position in plan.calls. */
  readonly i: number
  readonly row: number
  /** Left edge and width in pixels from the start of the axis, not of the view. */
  readonly left: number
  readonly width: number
  /** Words there is room for: all, shortened, or none. */
  readonly words: string
  /** Seconds of it past its latest; 0 when it fits or is only tight. */
  readonly late: Seconds
  /** The note beside a late block, "0.8 s over"; empty where there is no room. */
  readonly note: string
}

export interface StripLayout {
  readonly blocks: readonly StripBlock[]
  readonly rows: number
}

export const MOST_ROWS = 3
/** Lateness below this is shown as tight, not as over. */
export const TIGHT: Seconds = 0.2
/** Clear space after words, pixels. */
const CLEAR = 7
/** Words shorter than this tell nothing once cut, pixels. */
const LEAST_WORDS = 30
/** Space between a late block and the note beside it, pixels. */
export const NOTE_GAP = 5

/**
 * Blocks of a talk strip in rows, so that words never collide: each block takes the lowest row whose words end before it begins;
 * where none does it takes the row whose words end soonest and goes without words. `along` gives the pixel of a stage time
 * (ascending; a time or a station axis), `measure` the width of words in pixels. Calls by start. Pure.
 */
export function layOutStrip(
  calls: readonly StripCall[],
  along: (time: StageTime) => number,
  measure: (words: string) => number,
): StripLayout {
  const free = new Array<number>(MOST_ROWS).fill(Number.NEGATIVE_INFINITY)
  // Blocks themselves never overlap on one row: calls are said one after another.
  let rows = 1
  const lefts = calls.map((call) => along(call.start))
  const blocks = calls.map((call, i): StripBlock => {
    const left = lefts[i]!
    const width = Math.max(1, along(call.end) - left)
    const late = call.late > TIGHT ? call.late : 0
    const found = free.findIndex((end) => end <= left)
    const row = found >= 0 ? found : free.indexOf(Math.min(...free))
    const open = found >= 0
    // Words may run on to where the same row would be needed again: MOST_ROWS calls later at the soonest.
    const limit = (lefts[i + MOST_ROWS] ?? Number.POSITIVE_INFINITY) - left - CLEAR
    const words = open ? shortened(call.say, Math.max(limit, width), measure) : ''
    const wordsWide = words === '' ? 0 : measure(words)
    const fullNote = late > 0 ? `${late.toFixed(1)} s over` : ''
    const note = open && fullNote !== '' && width + NOTE_GAP + measure(fullNote) <= limit ? fullNote : ''
    const noteWide = note === '' ? 0 : width + NOTE_GAP + measure(note)
    free[row] = Math.max(free[row]!, left + Math.max(width, wordsWide, noteWide) + (words === '' ? 0 : CLEAR))
    rows = Math.max(rows, row + 1)
    return { i, row, left, width, words, late, note }
  })
  return { blocks, rows }
}

/** The whole, or as many whole words as fit with an ellipsis, or nothing. */
function shortened(say: string, room: number, measure: (words: string) => number): string {
  if (measure(say) <= room) return say
  if (room < LEAST_WORDS) return ''
  for (let words = say.split(' ').slice(0, -1); words.length > 0; words = words.slice(0, -1)) {
    const cut = `${words.join(' ')} …`
    if (measure(cut) <= room) return cut
  }
  return ''
}

/** Block under a pixel of the axis and a row, or null; `slack` pixels on each side. */
export function blockAt(layout: StripLayout, x: number, row: number, slack: number): StripBlock | null {
  return (
    layout.blocks.find(
      (block) => block.row === row && x >= block.left - slack && x < block.left + block.width + slack,
    ) ?? null
  )
}

/** First block that can reach into the view from `x` on: blocks and their words are found by their call's start, less `reach`. */
export function firstInView(layout: StripLayout, x: number, reach: number): number {
  let low = 0
  let high = layout.blocks.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (layout.blocks[middle]!.left < x - reach) low = middle + 1
    else high = middle
  }
  return low
}

/** Round distances between ticks: the first that leaves `room` pixels. */
export function tickEvery(steps: readonly number[], scale: number, room: number): number {
  return steps.find((step) => step * scale >= room) ?? steps.at(-1)!
}

export const TIME_STEPS: readonly Seconds[] = [1, 2, 5, 10, 30, 60, 120, 300, 600]
export const ROAD_STEPS: readonly Metres[] = [50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000]
