import type { Rehearsal } from '../../rehearsal/stage.ts'
import { type Metres, MILE, type Seconds } from '../../units.ts'
import { countLines } from './breakLines.ts'
import { pageTurns, TURN } from './pageTurns.ts'
import type { Layout } from './paper.ts'

export interface NotebookRow {
  /** Distance along the stage in the crew's unit. */
  readonly distance: string
  readonly text: string
  readonly station: Metres
  /** In a crunch at the target: marked on the page too. */
  readonly crunch: boolean
}

export interface NotebookPage {
  readonly rows: readonly NotebookRow[]
  /** Stretch of road of this page: to the next page's first call, or the finish. */
  readonly from: Metres
  readonly to: Metres
  /** The turn after it; null on the last page. */
  readonly turn: { readonly room: Seconds; readonly crunch: boolean; readonly short: boolean } | null
}

export interface NotebookOptions {
  readonly units: 'metric' | 'miles'
  /** The crew's own typing, or what is said in the run's wording. */
  readonly words: 'typed' | 'said'
}

/** Smallest gain from a turn that is worth showing as time in hand, milliseconds. */
const MS = 1000

/**
 * A planned run as pages: every call that is said, in order, turned where there is time. The room for a turn is from the end of a call to the latest start of
 * the next that makes no call later than it is at this target.
 */
export function notebookPages(rehearsal: Rehearsal, layout: Layout, options: NotebookOptions): NotebookPage[] {
  const { plan, said, stage } = rehearsal
  const crunches = plan.crunches.filter((crunch) => !crunch.tight)
  const rows = plan.calls.map((call, i): NotebookRow => {
    const text = options.words === 'said' ? said[i]!.say : stage.notes.calls[call.index]!.text
    return {
      distance: (call.station / (options.units === 'miles' ? MILE : 1000)).toFixed(2),
      text: text.replace(/\s+/g, ' ').trim(),
      station: call.station,
      crunch: crunches.some((one) => call.index >= one.first && call.index <= one.last),
    }
  })
  const entries = plan.calls.map((call, i) => {
    const next = plan.calls[i + 1]
    const lines = countLines(rows[i]!.text, layout.measure)
    return {
      height: Math.ceil((lines * layout.line + layout.between) * 100),
      room: next ? Math.floor((next.start + next.slack - call.end) * MS) : 0,
      crunch: next !== undefined && crunches.some((one) => call.index >= one.first && next.index <= one.last),
    }
  })
  const { pages } = pageTurns(entries, layout.capacity)
  return pages.map((page, p): NotebookPage => {
    const last = entries[page.to - 1]!
    const following = pages[p + 1]
    const end = following ? rows[following.from]!.station : stage.route.length
    const from = rows[page.from]!.station
    return {
      rows: rows.slice(page.from, page.to),
      from,
      // Calls of one place can share a station: a strip needs some road to draw.
      to: Math.min(stage.route.length, Math.max(end, from + 10)),
      turn: following ? { room: last.room / MS, crunch: last.crunch, short: last.room < TURN * MS } : null,
    }
  })
}
