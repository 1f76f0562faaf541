import { type Audited, finding } from './audit.ts'
import type { Finding } from './placement.ts'

const REASONS = {
  crosses: 'it crosses an anchor set later',
  'call-gone': 'no call reads so any more',
  'off-road': 'the road does not reach so far',
} as const

/** Hand placements that are not held, each with why. Nothing a crew did is dropped without a word. */
export function unheldAnchors(q: Audited): Finding[] {
  return (q.placement.unheld ?? []).map(({ anchor, reason }) =>
    finding(
      'anchor-not-held',
      'warning',
      Math.min(anchor.station, q.route.length),
      q.notes.calls[anchor.call]?.text === anchor.text ? anchor.call : null,
      `"${anchor.text.replace(/\s+/g, ' ')}" was put here by hand, but ${REASONS[reason]}; it is placed by the road instead.`,
      { station: anchor.station },
    ),
  )
}
