import type { Notes } from '../../server/notes/notes.ts'
import { parseNotes } from '../../server/notes/parseNotes.ts'
import { auditNotes } from '../../server/placement/auditNotes.ts'
import { placeCalls } from '../../server/placement/placeCalls.ts'
import type { Finding, Placement } from '../../server/placement/placement.ts'
import { buildRoute } from '../../server/route/buildRoute.ts'
import type { Route } from '../../server/route/route.ts'
import type { CalledRoad, FaultKind, MadeFault } from './calledRoad.ts'
import { stationMap } from './logDrive.ts'

export interface Scored {
  readonly notes: Notes
  readonly route: Route
  readonly placement: Placement
  readonly findings: readonly Finding[]
  readonly station: (true_: number) => number
  /** Corner calls: confidence, and whether the middle lies in the true corner ± 10 m. */
  readonly corners: readonly {
    readonly call: number
    readonly confidence: number
    readonly right: boolean
    readonly off: number
  }[]
  /** Crest calls without a corner: within 25 m. */
  readonly crests: readonly { readonly call: number; readonly right: boolean }[]
}

const NEAR = 10
const NEAR_CREST = 25

/** End to end: the log to a road, the text to calls, calls onto the road, compared with the truth. */
export function scorePlacement(stage: CalledRoad): Scored {
  const route = buildRoute(stage.draft)
  const { notes } = parseNotes(stage.notes, {
    system: { style: 'numbers', fastest: 'high', scale: 6, order: 'grade-first' },
    dictated: false,
  })
  if (notes.calls.length !== stage.calls.length + 2)
    throw new Error(`made ${stage.calls.length + 2} calls, read ${notes.calls.length}`)
  const placement = placeCalls(notes, route)
  const station = stationMap(stage.road, route)
  const corners: Scored['corners'][number][] = []
  const crests: Scored['crests'][number][] = []
  stage.calls.forEach((call, i) => {
    const placed = placement.calls[i + 1]!
    const middle = (placed.from + placed.to) / 2
    const from = station(call.from)
    const to = station(call.to)
    if (call.kind === 'crest')
      crests.push({ call: i + 1, right: Math.abs((placed.crest ?? middle) - from) <= NEAR_CREST })
    else
      corners.push({
        call: i + 1,
        confidence: placed.confidence,
        right: middle >= from - NEAR && middle <= to + NEAR,
        off: middle - (from + to) / 2,
      })
  })
  return { notes, route, placement, findings: auditNotes(notes, route, placement), station, corners, crests }
}

const CODES: Readonly<Record<FaultKind, readonly Finding['code'][]>> = {
  missing: ['corner-not-called'],
  direction: ['direction-wrong'],
  grade: ['grade-off'],
  distance: ['distance-wrong'],
  tightens: ['tightens-missing'],
  crest: ['crest-hides-corner'],
}
/** A finding of a fault's kind within its corner, or this near it, is that fault. */
const SAME_FAULT = 60
/** Anything this near any fault follows from it: a wrong call upsets its neighbours. */
const FOLLOWS = 120

/** A distance from or to a crest that the heights do not show has no road to be held against. */
function betweenFeatures(scored: Scored, at: number): boolean {
  const { calls } = scored.placement
  const here = calls.reduce((best, call) => (Math.abs(call.to - at) < Math.abs(best.to - at) ? call : best))
  return here.by === 'feature' && calls[here.index + 1]?.by === 'feature'
}

export interface AuditScore {
  /** By kind; of grades also those that are two off by the corner's own radius. */
  readonly found: ReadonlyMap<string, { readonly found: number; readonly of: number }>
  readonly missed: readonly MadeFault[]
  readonly false: readonly Finding[]
}

export function scoreAudit(stage: CalledRoad, scored: Scored): AuditScore {
  const found = new Map<string, { found: number; of: number }>()
  const missed: MadeFault[] = []
  const near = (fault: MadeFault, reach: number) => {
    const from = scored.station(fault.at) - reach
    const to = scored.station(fault.to) + reach
    return (one: Finding) => one.station > from && one.station < to
  }
  for (const fault of stage.faults) {
    if (!fault.visible || (fault.kind === 'distance' && !betweenFeatures(scored, scored.station(fault.at)))) continue
    const findings = scored.findings.filter(near(fault, SAME_FAULT))
    const is = findings.some((one) => CODES[fault.kind].includes(one.code))
    if (!is) missed.push(fault)
    for (const kind of fault.clear ? [fault.kind, `${fault.kind}, by its own radius`] : [fault.kind]) {
      const row = found.get(kind) ?? { found: 0, of: 0 }
      found.set(kind, { found: row.found + (is ? 1 : 0), of: row.of + 1 })
    }
  }
  const followed = stage.faults.map((fault) => near(fault, FOLLOWS))
  return { found, missed, false: scored.findings.filter((one) => !followed.some((is) => is(one))) }
}

/** Expected calibration error: bins of confidence, |said − is| weighted by their share. */
export function calibration(rows: readonly { confidence: number; right: boolean }[]): {
  error: number
  bins: { said: number; is: number; n: number }[]
} {
  const edges = [0, 0.5, 0.8, 0.95, 0.99, 0.999, 1.0001]
  const bins = edges.slice(1).map((to, b) => {
    const inside = rows.filter((row) => row.confidence >= edges[b]! && row.confidence < to)
    const mean = (of: (row: { confidence: number; right: boolean }) => number) =>
      inside.reduce((sum, row) => sum + of(row), 0) / Math.max(1, inside.length)
    return { said: mean((row) => row.confidence), is: mean((row) => Number(row.right)), n: inside.length }
  })
  const error = bins.reduce((sum, bin) => sum + (bin.n / rows.length) * Math.abs(bin.said - bin.is), 0)
  return { error, bins }
}
