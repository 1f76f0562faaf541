import type { NoteSettings } from '../notes/notes.ts'
import type { Route } from '../route/route.ts'
import type { Metres } from '../units.ts'
import type { PreparedStage } from './stage.ts'

/** Gaps this near in their share of the stage may be the one a distance is of. */
const NEAR = 0.06
/** A factor of e^0.2 on the distance is one unit of cost; a distance that fits nowhere costs two. */
const SPREAD = 0.2
const MOST = 2

/**
 * What a measured road says of a distance in the notes: min(2, |ln(d/gap)|/0.2) to the nearest gap between corners, or between a corner and the
 * next but one, within ±6 % of the same share of the stage; 0 where the road has none there. It settles "34 right": is there a 30 m gap and then
 * a 4? Undefined for a road drawn from the notes, which can settle nothing about them.
 */
export function distanceCostOf(route: Route): NoteSettings['distanceCost'] {
  if (route.source === 'notes') return undefined
  const corners = route.features.filter((feature) => feature.kind === 'corner')
  const gaps: { share: number; length: Metres }[] = []
  for (let i = 0; i < corners.length; i++) {
    for (const next of corners.slice(i + 1, i + 3)) {
      const length = next.from - corners[i]!.to
      if (length > 0) gaps.push({ share: (corners[i]!.to + length / 2) / route.length, length })
    }
  }
  return (metres, share) => {
    let least = Number.POSITIVE_INFINITY
    for (const gap of gaps)
      if (Math.abs(gap.share - share) <= NEAR) least = Math.min(least, Math.abs(Math.log(metres / gap.length)) / SPREAD)
    return least === Number.POSITIVE_INFINITY ? 0 : Math.min(MOST, least)
  }
}

/** What a stage's own road says of its notes, as the parser takes it. */
export function roadSays({ route, fastByRoad }: PreparedStage): NoteSettings {
  const distanceCost = distanceCostOf(route)
  return { ...(distanceCost ? { distanceCost } : {}), ...(fastByRoad === undefined ? {} : { fastByRoad }) }
}
