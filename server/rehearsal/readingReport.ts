import type { EpochTime, Metres, Seconds } from '../units.ts'
import type { ScoredCall, TakeScore } from './scoreTake.ts'

/** A place of the stage over many takes. */
export interface Place {
  readonly index: number
  readonly say: string
  readonly station: Metres
  readonly takes: number
  readonly inWindow: number
  readonly early: number
  readonly late: number
  readonly skipped: number
  /** Median of start − preferred; null when it was never heard. */
  readonly medianOff: Seconds | null
  /** Share of takes in which it went wrong, pulled towards 0 while takes are few: (wrong) / (takes + 1). */
  readonly trouble: number
}

export interface ReadingReport {
  /** Worst first; only places that went wrong in two takes or more. */
  readonly places: readonly Place[]
  /** Pace of each take against its target, oldest first. */
  readonly paceBySpeed: readonly {
    readonly startedAt: EpochTime
    readonly averageSpeed: number
    readonly syllablesPerSecond: number
  }[]
}

/** Notes move between takes: the same words within this are the same place. */
const SAME_PLACE: Metres = 40
const PLACES = 12

/** What many takes say together. Takes oldest first; words and places are those of the newest. */
export function readingReport(
  takes: readonly { readonly startedAt: EpochTime; readonly averageSpeed: number; readonly score: TakeScore }[],
): ReadingReport {
  const newest = takes.at(-1)
  const places = (newest?.score.calls ?? []).map((call) => {
    const seen = takes
      .flatMap(({ score }) => sameCall(score.calls, call) ?? [])
      .filter((one) => one.verdict !== 'not reached')
    const count = (...verdicts: string[]) => seen.filter((one) => verdicts.includes(one.verdict)).length
    const offs = seen
      .flatMap((one) => (one.off === null || one.verdict === 'not sure' ? [] : [one.off]))
      .sort((a, b) => a - b)
    const wrong = count('early', 'late', 'skipped', 'rescued')
    return {
      place: {
        index: call.index,
        say: call.say,
        station: call.station,
        takes: seen.length,
        inWindow: count('in window'),
        early: count('early'),
        late: count('late'),
        skipped: count('skipped', 'rescued'),
        medianOff: offs.length > 0 ? offs[Math.floor(offs.length / 2)]! : null,
        trouble: wrong / (seen.length + 1),
      } satisfies Place,
      wrong,
    }
  })
  return {
    places: places
      .filter(({ wrong }) => wrong >= 2)
      .map(({ place }) => place)
      .sort((a, b) => b.trouble - a.trouble || a.station - b.station)
      .slice(0, PLACES),
    paceBySpeed: takes.flatMap(({ startedAt, averageSpeed, score }) => {
      const paces = score.pace.map((part) => part.syllablesPerSecond)
      if (paces.length === 0) return []
      return [{ startedAt, averageSpeed, syllablesPerSecond: paces.reduce((a, b) => a + b, 0) / paces.length }]
    }),
  }
}

function sameCall(calls: readonly ScoredCall[], wanted: ScoredCall): ScoredCall | undefined {
  let [best, nearest]: [ScoredCall | undefined, number] = [undefined, SAME_PLACE]
  for (const call of calls) {
    const apart = Math.abs(call.station - wanted.station)
    if (call.say === wanted.say && apart <= nearest) [best, nearest] = [call, apart]
  }
  return best
}
