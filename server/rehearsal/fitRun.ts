import { type SolvedCeiling, solveCeiling } from '../calls/ceilingSearch.ts'
import { TIGHT } from '../calls/defaults.ts'
import type { Ceiling } from '../calls/plan.ts'
import type { Wording } from '../notes/notes.ts'
import { findCar } from '../speed/cars.ts'
import type { SpeedProfile } from '../speed/speed.ts'
import { findSurface } from '../speed/surfaces.ts'
import type { MetresPerSecond, Seconds, StageTime } from '../units.ts'
import { chooseWordings } from './chooseWordings.ts'
import { cellsOf, planRun } from './planRun.ts'
import type { PreparedStage, Rehearsal, RunSettings, SaidCall } from './stage.ts'

/** What a wording comes to at one target. */
export interface WordingFit {
  readonly wording: RunSettings['wording']
  readonly lateCalls: number
  readonly lateSeconds: Seconds
  /** Crunches over 0.2 s; shorter ones are "tight". */
  readonly crunches: number
  readonly words: number
  readonly wordsPerSecond: number
  readonly speakingShare: number
  /** Each call: start, end, seconds late. */
  readonly spoken: readonly (readonly [start: StageTime, end: StageTime, late: Seconds])[]
  readonly ceiling: Ceiling | null
  /** Up to what speed it fits: the ceiling, any speed this car can do here, or none. */
  readonly fits: 'to ceiling' | 'any speed' | 'no speed'
}

export interface Fit {
  readonly wordings: readonly WordingFit[]
  /** The automatic choice, call by call. */
  readonly automatic: readonly { readonly call: number; readonly wording: Wording }[]
}

/** Late calls, seconds and crunches of a plan; lateness under 0.2 s is not counted. */
export function latenessOf(rehearsal: Rehearsal): { lateCalls: number; lateSeconds: Seconds; crunches: number } {
  const late = rehearsal.plan.calls.filter((call) => call.late > TIGHT)
  return {
    lateCalls: late.length,
    lateSeconds: late.reduce((sum, call) => sum + call.late, 0),
    crunches: rehearsal.plan.crunches.filter((crunch) => crunch.over > TIGHT).length,
  }
}

/**
 * The ceiling of a run on re-solved profiles: the highest average at which no call is late. Null when nothing is read. One above `fastest`
 * is out of this car's reach: it only says how much room there is.
 */
export function ceilingOf(
  stage: PreparedStage,
  run: RunSettings,
  said: readonly SaidCall[],
  commitment: number,
): SolvedCeiling | null {
  const read = said.filter(
    (one) =>
      one.words > 0 &&
      stage.placement.calls[one.call]!.from >= run.from &&
      stage.placement.calls[one.call]!.from < run.to,
  )
  if (read.length === 0) return null
  return solveCeiling({
    notes: stage.notes,
    placement: stage.placement,
    calls: read.map((one) => one.call),
    durations: read,
    settings: run.calls,
    cells: cellsOf(stage, run),
    car: findCar(run.car),
    surface: findSurface(run.surface),
    commitment,
  })
}

/** What a solved ceiling means to a crew with this car. */
export function fitsUpTo(solved: SolvedCeiling | null): WordingFit['fits'] {
  if (solved === null || solved.outcome === 'never late') return 'any speed'
  if (solved.ceiling === null) return 'no speed'
  return solved.ceiling.averageSpeed >= solved.fastest ? 'any speed' : 'to ceiling'
}

/** The same run in each wording and in the automatic choice. `options[m]` is every call in wording m, the fullest first. */
export function fitRun(
  stage: PreparedStage,
  run: RunSettings,
  profile: SpeedProfile,
  options: readonly (readonly SaidCall[])[],
): Fit {
  const chosen = chooseWordings({ stage, run, profile, options })
  const rows = [
    ...options.map((said) => ({ wording: said[0]!.wording as RunSettings['wording'], said })),
    { wording: 'automatic' as const, said: chosen },
  ]
  const wordings = rows.map(({ wording, said }): WordingFit => {
    const rehearsal = planRun({ stage, run: { ...run, wording }, said, profile, speech: 'voice' })
    const solved = ceilingOf(stage, run, said, profile.commitment)
    const words = rehearsal.said.reduce((sum, one) => sum + one.words, 0)
    const speaking = rehearsal.said.reduce((sum, one) => sum + one.duration, 0)
    return {
      wording,
      ...latenessOf(rehearsal),
      words,
      wordsPerSecond: words / profile.duration,
      speakingShare: speaking / profile.duration,
      spoken: rehearsal.plan.calls.map(({ start, end, late }) => [start, end, late] as const),
      ceiling: solved?.ceiling ?? null,
      fits: fitsUpTo(solved),
    }
  })
  return { wordings, automatic: chosen.map((one) => ({ call: one.call, wording: one.wording })) }
}

/** Seconds late and crunches of one wording at each of several averages; null where no car can go so fast. */
export function sweepRun(
  stage: PreparedStage,
  run: RunSettings,
  said: readonly SaidCall[],
  averages: readonly MetresPerSecond[],
) {
  return averages.map((speed) => {
    try {
      const rehearsal = planRun({ stage, run: { ...run, target: { kind: 'average', speed } }, said, speech: 'voice' })
      return { averageSpeed: speed, ...latenessOf(rehearsal) }
    } catch (error) {
      if ((error as Error).name === 'UnreachableTarget')
        return { averageSpeed: speed, lateCalls: null, lateSeconds: null, crunches: null }
      throw error
    }
  })
}
