import { planCalls } from '../calls/planCalls.ts'
import { findCar } from '../speed/cars.ts'
import { limitedCells } from '../speed/limitedCells.ts'
import { solveTarget } from '../speed/solveTarget.ts'
import type { RoadCells, SpeedProfile } from '../speed/speed.ts'
import { findSurface } from '../speed/surfaces.ts'
import type { PreparedStage, Rehearsal, RunSettings, SaidCall } from './stage.ts'

/** Speed at every station for a run's target. Throws UnreachableTarget with the fastest that the car can do. */
export function solveRun(stage: PreparedStage, run: RunSettings): SpeedProfile {
  return solveTarget(cellsOf(stage, run), findCar(run.car), findSurface(run.surface), run.target)
}

/** The road as this run drives it: with the limits the crew set itself. */
export function cellsOf(stage: PreparedStage, run: RunSettings): RoadCells {
  return limitedCells(stage.cells, run.limits ?? [])
}

/**
 * One run: profile, windows, schedule and crunches, for calls whose length is known. `said` is parallel to the notes' calls;
 * those outside [run.from, run.to) by their place are left out of the plan.
 */
export function planRun(q: {
  stage: PreparedStage
  run: RunSettings
  said: readonly SaidCall[]
  profile?: SpeedProfile
  speech: Rehearsal['speech']
}): Rehearsal {
  const { stage, run } = q
  if (q.said.length !== stage.notes.calls.length) {
    throw new RangeError(`planRun: ${q.said.length} said calls for ${stage.notes.calls.length} calls`)
  }
  const profile = q.profile ?? solveRun(stage, run)
  const here = (call: number) =>
    stage.placement.calls[call]!.from >= run.from && stage.placement.calls[call]!.from < run.to
  const said = q.said.filter((one) => one.words > 0 && here(one.call))
  const plan = planCalls({
    notes: stage.notes,
    placement: stage.placement,
    profile,
    calls: said.map((one) => one.call),
    durations: said,
    settings: run.calls,
  })
  return { stage, run, profile, said, plan, speech: q.speech }
}
