import { averageLogs } from '../../server/route/averageLogs.ts'
import { buildRoute } from '../../server/route/buildRoute.ts'
import { findCrests } from '../../server/route/findFeatures.ts'
import { fitHeights } from '../../server/route/fitHeights.ts'
import { crestHeights } from '../crestHeights.ts'
import { draftOf } from '../logDraft.ts'
import { median, type RoadScore, scoreRoad, share } from '../roadScore.ts'
import { logOf, syntheticRoad } from '../syntheticRoad.ts'
import { processorMs } from './timed.ts'

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
  for (const log of LOGS.slice(0, 2))
    for (const changes of [false, true]) {
      const scores = seeds.map((seed) => {
        const road = syntheticRoad(seed, { changes })
        const drives = [0, 1, 2].map((k) => draftOf(logOf(road, seed + 1000 * k, log)))
        return scoreRoad(road, buildRoute(averageLogs(drives)))
      })
      rows.push({ log: `three of ${log.name}, averaged${changes ? ', some change' : ''}`, ...figures(scores) })
    }
  console.table(rows)
  clean(seeds.slice(0, 6))
  crests()
  cost()
}

/** Logs without noise: the worst single corner of each radius. */
function clean(seeds: readonly number[]): void {
  const rows = [
    { log: 'no noise, a fix a second', every: 1, timed: true },
    { log: 'no noise, 5 fixes a second', every: 0.2, timed: true },
    { log: 'no noise, 5 fixes a second, no clock', every: 0.2, timed: false },
  ].map(({ log, every, timed }) => {
    const corners = seeds.flatMap((seed) => {
      const road = syntheticRoad(seed)
      return scoreRoad(road, buildRoute(draftOf(logOf(road, seed, { noise: 0, bias: 0, every }), timed))).corners
    })
    const worst = (test: (r: number) => boolean) =>
      percent(Math.max(...corners.filter((one) => test(one.truth.radius)).map((one) => one.radiusError)))
    return {
      log,
      'worst R>=40': worst((r) => r >= 40),
      'worst R27': worst((r) => r === 27),
      'worst R17': worst((r) => r === 17),
      'worst R9': worst((r) => r === 9),
      entry: Number(
        median(corners.flatMap((one) => (one.entryError === null ? [] : Math.abs(one.entryError)))).toFixed(2),
      ),
    }
  })
  console.table(rows)
}

/** Crests in clean heights, each 700 m: the worst error of the mean curvature over the middle 60 %, and of the feature's radius. */
function crests(): void {
  const rows = []
  for (const [radius, over] of [
    [100, 20],
    [200, 40],
    [400, 60],
    [1000, 120],
  ] as const)
    for (const every of [1, 5]) {
      const heights = crestHeights(radius, over, 7000)
      const stations = heights.map((_, s) => s).filter((s) => s % every === 0)
      const { vertical } = fitHeights(
        stations,
        stations.map((s) => heights[s]!),
        heights.length,
      )
      const errors = Array.from({ length: 10 }, (_, i) => {
        const reach = Math.round(0.3 * over)
        const middle = vertical.subarray(700 * i + 350 - reach, 700 * i + 351 + reach)
        return Math.abs((middle.reduce((sum, k) => sum + k, 0) / middle.length) * -radius - 1)
      })
      const features = findCrests(vertical).map((crest) => Math.abs(crest.radius / radius - 1))
      rows.push({
        crest: `${radius} m over ${over} m, a height each ${every} m`,
        'worst %': percent(Math.max(...errors)),
        features: features.length,
        'worst feature %': features.length > 0 ? percent(Math.max(...features)) : null,
      })
    }
  console.table(rows)
}

/** From log to ribbon and corners, processor time, least of three. */
function cost(): void {
  console.table(
    [50, 100, 200].map((km) => {
      const road = syntheticRoad(5, { length: 1000 * km })
      const draft = draftOf(logOf(road, 5, { noise: 0.3, bias: 3 }))
      return {
        km,
        fixes: draft.time.length,
        ms: processorMs(() => {
          buildRoute(draft)
        }),
      }
    }),
  )
}

const percent = (value: number) => Number((100 * value).toFixed(2))

function figures(scores: readonly RoadScore[]): Record<string, unknown> {
  const corners = scores.flatMap((one) => one.corners)
  const plain = corners.filter((one) => one.truth.change === null)
  const radius = (test: (r: number) => boolean) =>
    percent(median(plain.filter((one) => test(one.truth.radius)).map((one) => one.radiusError)))
  const listed = (test: (r: number) => boolean) =>
    percent(
      median(
        plain.flatMap(({ truth, found }) =>
          test(truth.radius) && found.length === 1 ? [Math.abs(found[0]!.radius / truth.radius - 1)] : [],
        ),
      ),
    )
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
    'as listed': [listed((r) => r >= 40), ...[27, 17, 9].map((own) => listed((r) => r === own))].join(' '),
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
