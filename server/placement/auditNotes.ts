import type { Notes } from '../notes/notes.ts'
import type { Route } from '../route/route.ts'
import { callViews } from './callView.ts'
import { pCalled } from './likelihood.ts'
import type { Finding, Placement } from './placement.ts'

const SURE = 0.7
/** Tighter and turning more than this, a corner is one that crews call (placement.md §4). */
const TIGHT = 130
const TURNS = 0.2

/** Where notes and road disagree (placement.md §4), by station; each with its numbers in one sentence. */
export function auditNotes(notes: Notes, route: Route, placement: Placement): Finding[] {
  const views = callViews(notes)
  const found: Finding[] = []
  const used = new Set(placement.calls.flatMap((call) => call.features))
  const before = (station: number) =>
    placement.calls.reduce<number | null>((last, call) => (call.from <= station ? call.index : last), null)
  route.features.forEach((feature, f) => {
    if (
      feature.kind !== 'corner' ||
      used.has(f) ||
      feature.radius >= TIGHT ||
      feature.angle <= TURNS ||
      pCalled(feature) < 0.5
    )
      return
    if (placement.calls.some((call) => call.from < feature.to && call.to > feature.from)) return
    found.push({
      code: 'corner-not-called',
      severity: 'warning',
      station: feature.from,
      call: before(feature.from),
      message: `${km(feature.from)}: a ${feature.radius.toFixed(0)} m corner to the ${feature.side} that no call names.`,
    })
  })
  placement.calls.forEach((placed, i) => {
    const view = views[i]!
    const text = notes.calls[i]!.text.replace(/\s+/g, ' ')
    const feature = placed.features.length > 0 ? route.features[placed.features[0]!] : undefined
    if (feature?.kind === 'corner' && placed.confidence > SURE && view.side !== null && view.side !== feature.side) {
      found.push({
        code: 'direction-wrong',
        severity: 'warning',
        station: placed.from,
        call: i,
        message: `${km(placed.from)}: "${text}", but the road turns ${feature.side}.`,
      })
    }
    if (placed.by === 'distance' && view.kind === 'corner') {
      found.push({
        code: 'call-without-feature',
        severity: 'warning',
        station: placed.from,
        call: i,
        message: `${km(placed.from)}: no corner for "${text}" shows in the road; placed by distance.`,
      })
    }
    const next = placement.calls[i + 1]
    if (next && view.distance > 0 && placed.confidence > SURE && next.confidence > SURE) {
      const gap = next.from - placed.to
      const off = Math.abs(view.distance / placement.odometer - gap)
      if (off > Math.max(22, 0.2 * gap)) {
        found.push({
          code: 'distance-wrong',
          severity: 'hint',
          station: placed.to,
          call: i,
          message: `${km(placed.to)}: ${view.distance.toFixed(0)} m is said, the road has ${gap.toFixed(0)} m.`,
        })
      }
    }
  })
  return found.sort((a, b) => a.station - b.station)
}

const km = (station: number) => `${(station / 1000).toFixed(2)} km`
