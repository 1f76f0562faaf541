import type { PlanDocument } from '../../server/api/wire.ts'

export interface StripBlock {
  /** Position in plan.calls. */
  readonly i: number
  readonly row: number
  readonly from: number
  readonly to: number
  readonly text: string
  /** Seconds of it past its latest, 0 when it fits. */
  readonly late: number
}

export interface StripLayout {
  readonly blocks: readonly StripBlock[]
  readonly rows: number
}

const MOST_ROWS = 3
const TIGHT = 0.2
/** Clear space between words of one row, in widths of a letter. */
const CLEAR = 1

/**
 * Blocks of a talk strip in rows, so that neither blocks nor the words on them collide: each goes to the lowest row whose words end before it begins.
 * `scale` is pixels a second, `letter` the width of a letter in pixels. Where no row is free the block takes the one that frees soonest, and its words are cut.
 */
export function layOutStrip(plan: PlanDocument, scale: number, letter: number): StripLayout {
  const free = new Array<number>(MOST_ROWS).fill(Number.NEGATIVE_INFINITY)
  let rows = 1
  const blocks = plan.calls.map((call, i): StripBlock => {
    const text = call.say
    const width = Math.max((call.end - call.start) * scale, (text.length + CLEAR) * letter)
    const x = call.start * scale
    let row = free.findIndex((end) => end <= x)
    if (row < 0) row = free.indexOf(Math.min(...free))
    const room = Math.max(0, x - Math.max(free[row]!, x))
    free[row] = x + width + room
    rows = Math.max(rows, row + 1)
    return { i, row, from: call.start, to: call.end, text, late: call.late > TIGHT ? call.late : 0 }
  })
  return { blocks, rows }
}

/** Block under a time and a row, or null; `slack` seconds on each side. */
export function blockAt(layout: StripLayout, time: number, row: number, slack: number): StripBlock | null {
  return (
    layout.blocks.find((block) => block.row === row && time >= block.from - slack && time <= block.to + slack) ?? null
  )
}
