import { automaticWording } from '../../server/calls/automaticWording.ts'
import { DEFAULT_CALL_SETTINGS } from '../../server/calls/defaults.ts'
import { planCalls, wholeWindows, windowsOf } from '../../server/calls/planCalls.ts'
import { waysOut } from '../../server/calls/waysOut.ts'
import { chooseWording } from '../../server/calls/wordingChoice.ts'
import { findCar } from '../../server/speed/cars.ts'
import { limitedCells, type SpeedLimit } from '../../server/speed/limitedCells.ts'
import { solveProfile } from '../../server/speed/solveProfile.ts'
import { findSurface } from '../../server/speed/surfaces.ts'
import { syntheticStage } from '../syntheticStage.ts'
import { timed } from './timed.ts'

const settings = DEFAULT_CALL_SETTINGS

/** Choosing one of three wordings for each of 600 calls, from easy to hopeless; and all ways out of the worst crunch. */
export async function run(): Promise<void> {
  const rows: Record<string, unknown>[] = []
  for (const word of [0.28, 0.36, 0.42, 0.6]) {
    const stage = syntheticStage(600, 1, { straight: 1, word })
    const profileAt = (commitment: number) =>
      solveProfile({ cells: stage.cells, car: findCar('four-wheel-drive'), surface: findSurface('gravel'), commitment })
    const profileWith = (limit: SpeedLimit) =>
      solveProfile({
        cells: limitedCells(stage.cells, [limit]),
        car: findCar('four-wheel-drive'),
        surface: findSurface('gravel'),
        commitment: 0.85,
      })
    const input = { ...stage, profile: profileAt(0.85), settings }
    const options = [1.25, 1, 0.77].map((share, m) =>
      stage.durations.map((one) => ({
        duration: one.duration * share,
        elementEnds: one.elementEnds.map((end) => end! * share),
        loss: [0, 1, 3][m]!,
      })),
    )
    const windows = options.map((said) =>
      wholeWindows(windowsOf({ ...input, durations: said }).windows, said, settings),
    )
    const perCall = stage.durations.map((_, i) => windows.map((one, m) => ({ ...one[i]!, loss: options[m]![i]!.loss })))
    const choice = automaticWording({ ...input, options })
    const { crunches } = planCalls(input)
    const worst = crunches.reduce((most, one) => (one.over > most.over ? one : most), crunches[0] ?? null!)
    rows.push({
      's a word': word,
      fits: choice.feasible,
      loss: choice.loss,
      'choice alone, median ms': timed(10, () => chooseWording(perCall)).median.toFixed(2),
      'with its windows': timed(10, () => automaticWording({ ...input, options })).median.toFixed(2),
      crunches: crunches.length,
      'ways out, median ms': worst ? timed(3, () => waysOut(input, worst, { profileWith })).median.toFixed(1) : '',
    })
  }
  console.table(rows)
}
