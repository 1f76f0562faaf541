import type { Notes } from '../notes/notes.ts'
import type { Route } from '../route/route.ts'
import { auditedOf } from './audit.ts'
import { unheldAnchors } from './auditAnchors.ts'
import { absentCautions, type DrivenSpeed } from './auditCautions.ts'
import { callsWithoutCorner, uncalledCorners, wrongChanges, wrongDirections } from './auditCorners.ts'
import { hiddenCorners } from './auditCrests.ts'
import { wrongDistances } from './auditDistances.ts'
import { wrongGrades } from './auditGrades.ts'
import type { Finding, Placement } from './placement.ts'

export interface AuditOptions {
  /** The stage as driven at its target, and the share of speed from which the crew wants a caution; absent is not looked at. */
  readonly caution?: { readonly driven: DrivenSpeed; readonly share: number }
}

/**
 * Where notes and road disagree (docs/method/placement.md), by station; each finding with its place, its reason and its numbers, and the call to jump to.
 * On a road drawn from the notes themselves there is nothing to hold against them: only anchors that are not held are told.
 */
export function auditNotes(notes: Notes, route: Route, placement: Placement, options: AuditOptions = {}): Finding[] {
  const q = auditedOf(notes, route, placement)
  const found =
    route.source === 'notes'
      ? unheldAnchors(q)
      : [
          ...uncalledCorners(q),
          ...wrongDirections(q),
          ...callsWithoutCorner(q),
          ...wrongGrades(q),
          ...wrongChanges(q),
          ...wrongDistances(q),
          ...hiddenCorners(q),
          ...unheldAnchors(q),
        ]
  if (options.caution) found.push(...absentCautions(q, options.caution.driven, options.caution.share))
  return found.sort((a, b) => a.station - b.station)
}
