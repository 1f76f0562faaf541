import { prepareStage } from '../rehearsal/prepareStage.ts'
import type { Streams } from './cli.ts'
import { readStage } from './readStage.ts'
import { readNumber } from './readTarget.ts'
import { type StageOptions, stageCommand } from './stageOptions.ts'
import { table } from './table.ts'

type RoadOptions = StageOptions & {
  readonly step: string
  readonly from?: string
  readonly to?: string
  readonly reverse?: boolean
  readonly lines?: string
}

/** `road`: the route as tables. */
export function roadCommand(streams: Streams) {
  return stageCommand('road', 'the road, as stations or in brief')
    .option('--step <metres>', 'distance between printed stations', '1')
    .option('--from <metres>', 'start of the stretch, a station of the whole road')
    .option('--to <metres>', 'finish of the stretch, a station of the whole road')
    .option('--lines <numbers>', 'lines of the files to make the road of, as 1,3; without, the longest road in them')
    .option('--reverse', 'the stretch driven from its finish to its start')
    .action((folder: string | undefined, options: RoadOptions) => {
      const step = Math.max(1, Math.round(readNumber(options.step, '--step', 1, 10_000)))
      const { stage } = readStage(folder, options)
      const { from, to } = options
      const stretch = {
        from: from === undefined ? 0 : readNumber(from, '--from', 0, 1e7),
        to: to === undefined ? 1e7 : readNumber(to, '--to', 0, 1e7),
      }
      const chosen = {
        ...(from === undefined && to === undefined ? {} : { stretch }),
        ...(options.lines === undefined ? {} : { lines: numbers(options.lines) }),
        ...(options.reverse ? { reversed: !stage.settings.reversed } : {}),
      }
      const { route } = prepareStage({ ...stage, settings: { ...stage.settings, ...chosen } })
      const losses = Object.entries(route.losses).filter(([, count]) => count > 0)
      if (options.json) {
        const at = pick(route.x.length, step)
        const column = (values: Float64Array) => at.map((i) => values[i]!)
        const document = {
          length: route.length,
          closed: route.closed,
          source: route.source,
          losses: losses.map(([reason, count]) => ({ reason, count })),
          noise: route.noise,
          stations: at.map((i) => i * route.step),
          x: column(route.x),
          y: column(route.y),
          z: column(route.z),
          heading: column(route.heading),
          curvature: column(route.curvature),
          ...(route.width ? { width: column(route.width) } : {}),
          ...(route.bank ? { bank: column(route.bank) } : {}),
          features: route.features,
        }
        streams.out(`${JSON.stringify(document)}\n`)
        return
      }
      const tightest = route.curvature.reduce((most, k) => Math.max(most, Math.abs(k)), 0)
      streams.out(
        `${(route.length / 1000).toFixed(3)} km, ${route.features.length} corners and crests, ${tightest < 1e-5 ? 'no bends' : `least radius ${(1 / tightest).toFixed(1)} m`}\n`,
      )
      if (route.source === 'notes') streams.out('Drawn from the notes, not measured.\n')
      if (losses.length > 0) streams.out(table(['lost or repaired', 'how many'], losses))
    })
}

/** "1,3" to [0, 2]. */
const numbers = (list: string): number[] =>
  list.split(',').map((one) => Math.round(readNumber(one.trim(), '--lines', 1, 1e6)) - 1)

/** Every `step`-th index below `count`, and the last. */
function pick(count: number, step: number): number[] {
  const indices = Array.from({ length: Math.ceil(count / step) }, (_, i) => i * step)
  if (indices.at(-1) !== count - 1) indices.push(count - 1)
  return indices
}
