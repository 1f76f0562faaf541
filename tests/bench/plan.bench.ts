import { brakeOnsets } from '../../server/calls/brakeOnsets.ts'
import { firstLateSpeed, solveCeiling } from '../../server/calls/ceilingSearch.ts'
import { callCeilings, scaledCeiling } from '../../server/calls/ceilings.ts'
import { DEFAULT_CALL_SETTINGS } from '../../server/calls/defaults.ts'
import { planCalls, scalingCalls, wholeWindows, windowsOf } from '../../server/calls/planCalls.ts'
import { findCrunches, schedule } from '../../server/calls/schedule.ts'
import { findCar } from '../../server/speed/cars.ts'
import { solveProfile } from '../../server/speed/solveProfile.ts'
import { solveTarget } from '../../server/speed/solveTarget.ts'
import { findSurface } from '../../server/speed/surfaces.ts'
import { fromKmh } from '../../server/units.ts'
import { seededRandom } from '../seededRandom.ts'
import { scheduleByQuadraticProgram } from '../server/calls/quadraticProgram.ts'
import { randomWindows } from '../server/calls/randomWindows.ts'
import { type SyntheticStage, syntheticStage } from '../syntheticStage.ts'
import { timed } from './timed.ts'

const car = findCar('four-wheel-drive')
const surface = findSurface('gravel')
const settings = DEFAULT_CALL_SETTINGS

/** A new target from nothing but the road and the lengths of the calls: what the slider asks for. */
function replanned(stage: SyntheticStage, kmh: number) {
  const profile = solveTarget(stage.cells, car, surface, { kind: 'average', speed: fromKmh(kmh) })
  return planCalls({ ...stage, profile, settings })
}

/** 600 calls to 30 km: straights drawn out until the length is right. */
const stageOf = (calls: number) => syntheticStage(calls, 1, { straight: 1 })

export async function run(): Promise<void> {
  const rows: Record<string, unknown>[] = []
  const row = (what: string, ms: { median: number; best: number }) =>
    rows.push({ what, 'median ms': ms.median.toFixed(3), 'best ms': ms.best.toFixed(3) })
  const stage = stageOf(600)
  const kilometres = stage.cells.curvature.length / 1000
  let kmh = 60
  // Another target each time: nothing may be kept from the one before.
  row(
    `new target, ${kilometres.toFixed(1)} km, 600 calls`,
    timed(40, () => replanned(stage, 55 + (kmh = (kmh + 0.37) % 10))),
  )
  const long = stageOf(6000)
  row(
    `new target, ${(long.cells.curvature.length / 1000).toFixed(1)} km, 6000 calls`,
    timed(10, () => replanned(long, 60)),
  )

  const profile = solveProfile({ cells: stage.cells, car, surface, commitment: 0.85 })
  const input = { ...stage, profile, settings }
  const { timed: calls, windows } = windowsOf(input)
  const whole = wholeWindows(windows, stage.durations, settings)
  row(
    'one solve',
    timed(40, () => solveProfile({ cells: stage.cells, car, surface, commitment: 0.85 })),
  )
  const parts = calls.flatMap((call) => call.parts)
  row(
    'brake onsets',
    timed(40, () => brakeOnsets(profile, parts)),
  )
  row(
    'windows with onsets',
    timed(40, () => windowsOf(input)),
  )
  row(
    'schedule and crunches, 600',
    timed(100, () => [schedule(whole, { whole: true }), findCrunches(whole)]),
  )
  const scaling = scalingCalls(windows, stage.durations, settings)
  row(
    'ceilings in closed form, whole and per call',
    timed(40, () => [scaledCeiling(scaling), callCeilings(scaling)]),
  )
  const question = { ...stage, settings, car, surface, commitment: 0.85 }
  row(
    'ceiling on solved profiles',
    timed(5, () => solveCeiling(question)),
  )
  const { ceiling } = solveCeiling(question)
  if (ceiling)
    row(
      'looking for a lower late speed',
      timed(2, () => firstLateSpeed(question, ceiling)),
    )
  console.table(rows)

  againstQuadraticProgram()
}

function againstQuadraticProgram(): void {
  const random = seededRandom(2026)
  let worst = 0
  let unsolved = 0
  const lists = 10_000
  for (let round = 0; round < lists; round++) {
    const windows = randomWindows(random, 1 + Math.floor(random() * 12))
    const { starts, soonest } = schedule(windows)
    try {
      scheduleByQuadraticProgram(windows, soonest).forEach((start, i) => {
        worst = Math.max(worst, Math.abs(start - starts[i]!))
      })
    } catch {
      unsolved++
    }
  }
  console.log(
    `${lists} random lists: greatest difference from a general quadratic program ${worst.toExponential(1)}, not solved by it ${unsolved}`,
  )
  const windows = randomWindows(random, 150)
  const { soonest } = schedule(windows)
  const own = timed(100, () => schedule(windows)).median
  const general = timed(5, () => scheduleByQuadraticProgram(windows, soonest)).median
  console.log(
    `150 calls: ${own.toFixed(3)} ms here, ${general.toFixed(1)} ms by the general program, ${Math.round(general / own)} times as long`,
  )
}
