import type { Call } from '../notes/notes.ts'
import type { Route } from '../route/route.ts'
import type { Metres } from '../units.ts'
import type { PlacedPart } from './placement.ts'

/** Where a crest that heights cannot show is taken, as a share of its corner (docs/method/placement.md). */
const UNSEEN_CREST = 0.25

/**
 * Station of each element of a placed call (docs/method/placement.md): grade, side, length and line words at turn-in; a change where the part begins whose
 * radius changes; a crest at the greatest vertical curvature, or a quarter into the corner; objects at the apex; distances and links at the exit.
 */
export function layElements(
  call: Call,
  span: { from: Metres; to: Metres },
  parts: readonly PlacedPart[],
  route: Route,
): { stations: Metres[]; crest: Metres | null } {
  const named = call.elements.some((element) => element.meaning.is === 'crest')
  const hasCorner = call.elements.some((element) => element.meaning.is === 'corner')
  const crest = named ? crestStation(span, route, hasCorner) : null
  const apex = apexStation(span, route)
  const stations = call.elements.map((element, e) => {
    switch (element.timing) {
      case 'straight':
      case 'none':
        return span.to
      case 'part':
        return parts.find((part) => part.element === e)?.from ?? (span.from + span.to) / 2
      case 'feature':
        return element.meaning.is === 'crest' ? crest! : span.from
      default:
        return element.kind === 'object' ? apex : span.from
    }
  })
  return { stations, crest }
}

function crestStation(span: { from: Metres; to: Metres }, route: Route, hasCorner: boolean): Metres {
  const seen = route.features.find(
    (feature) => feature.kind === 'crest' && feature.at >= span.from - 20 && feature.at <= span.to + 20,
  )
  if (seen?.kind === 'crest') return seen.at
  return hasCorner ? span.from + UNSEEN_CREST * (span.to - span.from) : span.from
}

/** Middle of the stretch within 5 % of the greatest curvature, curvature averaged over about 10 m. */
function apexStation(span: { from: Metres; to: Metres }, route: Route): Metres {
  const from = Math.max(0, Math.floor(span.from / route.step))
  const to = Math.min(route.curvature.length - 1, Math.ceil(span.to / route.step))
  let peak = 0
  const mean = (i: number) => {
    let sum = 0
    for (let k = -5; k <= 5; k++) sum += route.curvature[Math.min(route.curvature.length - 1, Math.max(0, i + k))]!
    return Math.abs(sum / 11)
  }
  for (let i = from; i <= to; i++) peak = Math.max(peak, mean(i))
  let first = -1
  let last = -1
  for (let i = from; i <= to; i++) {
    if (mean(i) < 0.95 * peak) continue
    if (first < 0) first = i
    last = i
  }
  return first < 0 ? span.from : ((first + last) / 2) * route.step
}
