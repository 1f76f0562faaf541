import type { RouteDraft } from './route.ts'

/** A clock that this share of the points has is kept, and the few points without a time let go. */
const CLOCKED = 0.9

/**
 * Lets go of points that no importer can judge by themselves: 0° north 0° east in a file whose road is elsewhere (a receiver without a fix writes that), and
 * the few without a time where nearly all have one. Counted; nothing is let go where fewer than two points would be left. The draft is not changed.
 */
export function mendDraft(draft: RouteDraft): RouteDraft {
  const unfixed = (i: number) => draft.northing[i] === 0 && draft.easting[i] === 0
  const elsewhere =
    draft.frame === 'geographic' &&
    !draft.northing.some((latitude, i) => !unfixed(i) && Math.hypot(latitude, draft.easting[i]!) < 1)
  const fixed = elsewhere ? without(draft, 'points at 0° north 0° east, where a receiver has no fix', unfixed) : draft
  const clocked = fixed.time.reduce((sum: number, time) => sum + (time === null ? 0 : 1), 0)
  return clocked >= CLOCKED * fixed.time.length
    ? without(fixed, 'points without a time, left out', (i) => fixed.time[i] === null)
    : fixed
}

function without(draft: RouteDraft, reason: string, gone: (i: number) => boolean): RouteDraft {
  const kept: number[] = []
  const keptBefore: number[] = []
  for (let i = 0; i < draft.northing.length; i++) {
    keptBefore.push(kept.length)
    if (!gone(i)) kept.push(i)
  }
  if (kept.length === draft.northing.length || kept.length < 2) return draft
  const pick = <T>(values: readonly T[]) => kept.map((i) => values[i]!)
  const starts = [0, ...draft.breaks].map((start) => keptBefore[start]!)
  // A piece of which nothing is left is no piece.
  const pieces = starts.flatMap((start, k) => (start < (starts[k + 1] ?? kept.length) ? [k] : []))
  return {
    ...draft,
    northing: pick(draft.northing),
    easting: pick(draft.easting),
    height: pick(draft.height),
    time: pick(draft.time),
    breaks: pieces.slice(1).map((k) => starts[k]!),
    ...(draft.names ? { names: pieces.map((k) => draft.names![k]!) } : {}),
    ...(draft.width ? { width: pick(draft.width) } : {}),
    ...(draft.bank ? { bank: pick(draft.bank) } : {}),
    losses: { ...draft.losses, [reason]: draft.northing.length - kept.length },
  }
}
