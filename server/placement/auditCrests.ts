import type { CrestFeature, Route } from '../route/route.ts'
import type { Metres } from '../units.ts'
import { type Audited, cornersOf, finding, isSure, quoted } from './audit.ts'
import type { Finding, PlacedCall } from './placement.ts'

/** A crest hides a corner that begins within this past it (docs/method/placement.md). */
const HIDES: Metres = 50
/** A corner that ends so soon after its crest has all been seen. */
const SEEN: Metres = 10
/** Driver's eye above the road: 1.08 m (AASHTO, A Policy on Geometric Design of Highways and Streets, sight distance on crests). */
const EYE: Metres = 1.08
/** A crest that opens only this near is blind [practice]. */
const BLIND: Metres = 30
/** Sharper than this, the road beside a crest still belongs to it. */
const FOOT = 1 / 1000

/** Blind crests that the heights show, with a called corner under them or close behind, of which the notes do not warn. */
export function hiddenCorners(q: Audited): Finding[] {
  const told = toldCrests(q)
  return q.route.features.flatMap((crest) => {
    if (crest.kind !== 'crest' || crest.drawn || opensAt(q.route, crest) > BLIND) return []
    const behind = q.placement.calls.find(
      (call) =>
        cornersOf(q, call).length > 0 && isSure(call) && call.to > crest.at + SEEN && call.from < crest.at + HIDES,
    )
    if (!behind || joined(q, told.get(crest), behind)) return []
    const gap = behind.from - crest.at
    return [
      finding(
        'crest-hides-corner',
        'warning',
        crest.at,
        behind.index,
        `a crest ${gap > 1 ? `${gap.toFixed(0)} m before` : 'in'} ${quoted(q, behind.index)}, and no call joins the two.`,
        { gap, crestRadius: crest.radius, radius: behind.parts[0]!.radius, opensAt: opensAt(q.route, crest) },
      ),
    ]
  })
}

/**
 * How near a car must be before its driver sees the road behind a crest, metres [derived]: over a crest that turns the slope by A the eye, h above the road
 * at distance d, clears it when h > A·d, however far behind the road is looked for.
 */
function opensAt(route: Route, crest: CrestFeature): Metres {
  const { verticalCurvature: bend, step } = route
  let turned = 0
  const top = Math.round(crest.at / step)
  for (let i = top; i >= 0 && bend[i]! < -FOOT; i--) turned -= bend[i]! * step
  for (let i = top + 1; i < bend.length && bend[i]! < -FOOT; i++) turned -= bend[i]! * step
  return turned > 0 ? EYE / turned : Number.POSITIVE_INFINITY
}

/** Which call tells of each crest: every call that names one takes the nearest within reach that no call before it took. */
function toldCrests(q: Audited): Map<CrestFeature, PlacedCall> {
  const told = new Map<CrestFeature, PlacedCall>()
  for (const call of q.placement.calls) {
    if (!q.views[call.index]!.crest) continue
    let nearest: CrestFeature | null = null
    let least = HIDES
    for (const crest of q.route.features) {
      if (crest.kind !== 'crest' || told.has(crest)) continue
      const away = Math.max(0, call.from - crest.at, crest.at - call.to)
      if (away < least || (away === 0 && least === 0 && nearest !== null && crest.radius < nearest.radius)) {
        least = away
        nearest = crest
      }
    }
    if (nearest) told.set(nearest, call)
  }
  return told
}

/** Told in the corner's own call, or in one before it that a distance or a link leads on from. */
function joined(q: Audited, teller: PlacedCall | undefined, behind: PlacedCall): boolean {
  if (teller === undefined) return false
  for (let i = teller.index; i < behind.index; i++)
    if (q.views[i]!.distance <= 0 && q.views[i]!.link === null) return false
  return true
}
