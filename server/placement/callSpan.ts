import type { Route } from '../route/route.ts'
import type { Metres } from '../units.ts'
import type { CallNode, Place } from './align.ts'
import type { CallView } from './callView.ts'

/** Radius of a corner whose grade is not said, for sharing a place alone. */
const UNGRADED: Metres = 55
/** The dip between two corners is looked for this share of their place to each side of where it should be. */
const LOOK = 0.25

/**
 * The road a call takes when placed so. Two calls on one merged corner share it in the ratio of the road each usually takes, cut where the
 * curvature is least near there (docs/method/placement.md, after the path).
 */
export function callSpan(
  q: { readonly calls: readonly CallView[]; readonly places: readonly Place[]; readonly route: Route },
  i: number,
  node: Pick<CallNode, 'places' | 'mate'>,
): { from: Metres; to: Metres } {
  const from = q.places[node.places[0]!]!.from
  const to = Math.max(from, q.places[node.places.at(-1)!]!.to)
  if (node.mate === 0) return { from, to }
  const first = node.mate === 1 ? i : i - 1
  const cut = cutBetween(q.route, from, to, usualLength(q.calls[first]!), usualLength(q.calls[first + 1]!))
  return node.mate === 1 ? { from, to: cut } : { from: cut, to }
}

const usualLength = (call: CallView): Metres => call.usualAngle * (call.grade?.radius ?? UNGRADED)

function cutBetween(route: Route, from: Metres, to: Metres, a: Metres, b: Metres): Metres {
  const middle = from + ((to - from) * a) / Math.max(1e-9, a + b)
  const reach = LOOK * (to - from)
  let cut = middle
  let least = Number.POSITIVE_INFINITY
  for (let s = Math.ceil(Math.max(from + 2, middle - reach)); s <= Math.min(to - 2, middle + reach); s++) {
    const bend = Math.abs(route.curvature[Math.min(route.curvature.length - 1, Math.round(s / route.step))]!)
    if (bend < least) {
      least = bend
      cut = s
    }
  }
  return cut
}

/** Confidence is summed over every way whose middle lies in the chosen place ± this: a split's halves are one place. */
const SAME_PLACE: Metres = 10

/** Probability that the call belongs on the span: the posterior of all its ways that lie there (docs/method/placement.md). */
export function confidenceOf(
  q: { readonly calls: readonly CallView[]; readonly places: readonly Place[]; readonly route: Route },
  i: number,
  nodes: readonly CallNode[],
  span: { readonly from: Metres; readonly to: Metres },
): number {
  let sum = 0
  for (const node of nodes) {
    const own = callSpan(q, i, node)
    const middle = (own.from + own.to) / 2
    if (middle >= span.from - SAME_PLACE && middle <= span.to + SAME_PLACE) sum += node.mass
  }
  return Math.min(1, sum)
}
