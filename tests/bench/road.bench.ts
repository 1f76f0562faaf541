import { averageLogs } from '../../server/route/averageLogs.ts'
import { buildRoute } from '../../server/route/buildRoute.ts'
import { draftOf } from '../logDraft.ts'
import { median, type RoadScore, scoreRoad, share } from '../roadScore.ts'
import { logOf, syntheticRoad } from '../syntheticRoad.ts'

const SEEDS = 20

const LOGS = [
  { name: '0.3 m on 3 m bias', noise: 0.3, bias: 3 },
  { name: '1 m on 3 m bias', noise: 1, bias: 3 },
  { name: '0.1 m on 0.5 m bias', noise: 0.1, bias: 0.5 },
]

/** The road from logs, held against the road they were made on. */
export async function run(): Promise<void> {
  const seeds = Array.from({ length: SEEDS }, (_, i) => i + 1)
  const rows: Record<string, unknown>[] = []
  for (const log of LOGS)
    for (const changes of [false, true]) {
      const scores = seeds.map((seed) => {
        const road = syntheticRoad(seed, { changes })
        return scoreRoad(road, buildRoute(draftOf(logOf(road, seed, log))))
      })
      rows.push({ log: `${log.name}${changes ? ', some change' : ''}`, ...figures(scores) })
    }
  for (const log of LOGS.slice(0, 2)) {
    const scores = seeds.map((seed) => {
      const road = syntheticRoad(seed, {})
      return scoreRoad(road, buildRoute(averageLogs([0, 1, 2].map((k) => draftOf(logOf(road, seed + 1000 * k, log))))))
    })
    rows.push({ log: `three of ${log.name}, averaged`, ...figures(scores) })
  }
  console.table(rows)
}

const percent = (value: number) => Number((100 * value).toFixed(2))

export function figures(scores: readonly RoadScore[]): Record<string, unknown> {
  const corners = scores.flatMap((one) => one.corners)
  const plain = corners.filter((one) => one.truth.change === null)
  const radius = (test: (r: number) => boolean) =>
    percent(median(plain.filter((one) => test(one.truth.radius)).map((one) => one.radiusError)))
  const signed = (r: number) =>
    percent(median(plain.filter((one) => one.truth.radius === r).map((one) => one.signedError)))
  const entries = corners.flatMap((one) => (one.entryError === null ? [] : [Math.abs(one.entryError)]))
  const here = corners.flatMap((one) => (one.entryErrorHere === null ? [] : [one.entryErrorHere]))
  const sum = (of: (one: RoadScore) => number) => scores.reduce((total, one) => total + of(one), 0)
  return {
    'R>=40': radius((r) => r >= 40),
    R27: radius((r) => r === 27),
    R17: radius((r) => r === 17),
    R9: radius((r) => r === 9),
    s27: signed(27),
    s17: signed(17),
    s9: signed(9),
    worst: percent(Math.max(...plain.map((one) => one.radiusError))),
    length: percent(Math.max(...scores.map((one) => Math.abs(one.lengthError)))),
    entry: Number(median(entries).toFixed(2)),
    'entry p90': Number(share(entries, 0.9).toFixed(1)),
    'entry here': Number(median(here.map(Math.abs)).toFixed(2)),
    bias: Number(median(here).toFixed(2)),
    precision: percent(sum((one) => one.right) / sum((one) => one.found)),
    recall: percent(corners.filter((one) => one.found.length > 0).length / corners.length),
    splits: `${sum((one) => one.changes.found)}/${sum((one) => one.changes.true)} wrong ${sum((one) => one.changes.wrongSense)}`,
    false: `${sum((one) => one.changes.false)}/${sum((one) => one.changes.plain)}`,
  }
}
