import type { Notes } from '../notes/notes.ts'
import type { CornerFeature, Route } from '../route/route.ts'
import type { Metres } from '../units.ts'
import { type CallView, callViews } from './callView.ts'
import { DEFAULT_SIGMA, type Scale } from './likelihood.ts'
import type { Finding, PlacedCall, Placement } from './placement.ts'

/** What every part of the audit looks at. */
export interface Audited {
  readonly notes: Notes
  readonly route: Route
  readonly placement: Placement
  readonly views: readonly CallView[]
  /** Which call a feature of the road is placed on, by feature; absent when none. */
  readonly callOn: ReadonlyMap<number, number>
}

/** A call must be placed with at least this confidence before the road is held against it (docs/method/placement.md). */
export const SURE = 0.7
/** Tighter and turning more than this, a corner is one that crews call (docs/method/placement.md). */
export const TIGHT: Metres = 130
export const TURNS = 0.2

export function auditedOf(notes: Notes, route: Route, placement: Placement): Audited {
  const callOn = new Map<number, number>()
  for (const call of placement.calls) for (const f of call.features) if (!callOn.has(f)) callOn.set(f, call.index)
  return { notes, route, placement, views: callViews(notes), callOn }
}

/** Placed surely on the road itself. An anchor is as sure as a person. */
export const isSure = (call: PlacedCall): boolean => call.by !== 'distance' && call.confidence > SURE

/** The corners of the road a call is on, in road order. */
export function cornersOf(q: Audited, call: PlacedCall): CornerFeature[] {
  return call.features
    .map((f) => q.route.features[f])
    .filter((feature): feature is CornerFeature => feature?.kind === 'corner')
}

/** The last call placed at or before a station. */
export function callBefore(q: Audited, station: Metres): number | null {
  let last: number | null = null
  for (const call of q.placement.calls) if (call.from <= station) last = call.index
  return last
}

export const quoted = (q: Audited, call: number): string => `"${q.notes.calls[call]!.text.replace(/\s+/g, ' ')}"`

/** The crew's scale as it was fitted. */
export function scaleOf({ gradeScale, spread, odometer, ends, blur }: Placement): Scale {
  const mu = new Map(gradeScale.map((row) => [row.grade, Math.log(row.radius)]))
  return { mu, sigma: spread ?? DEFAULT_SIGMA, odometer, ends: ends ?? 0, blur: blur ?? 0 }
}

/** A finding whose sentence begins with its place. */
export function finding(
  code: Finding['code'],
  severity: Finding['severity'],
  station: Metres,
  call: number | null,
  says: string,
  numbers: Readonly<Record<string, number>>,
): Finding {
  return { code, severity, station, call, message: `${(station / 1000).toFixed(2)} km: ${says}`, numbers }
}
