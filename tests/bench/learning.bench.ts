import { keptForMorning, planByDay } from '../../server/drill/dayPlan.ts'
import type { Evidence, Memory } from '../../server/drill/drill.ts'
import { fitHead, isOvernight } from '../../server/drill/forecastHead.ts'
import { afterReview, featuresAt } from '../../server/drill/memory.ts'
import { FULL_SHARE } from '../../server/drill/session.ts'
import { knownOnTheDay, meetingsOf } from '../../server/drill/stageForecast.ts'
import { listen, plainFsrs, type Rides, rides } from '../learners/policies.ts'
import { examine, MODELS, type Model, makeWorld, SETTINGS, type World } from '../learners/world.ts'

const SEEDS = Number(process.env.SAY_WHEN_SEEDS ?? 100)
/** The policy the program follows. */
const OURS: Rides = { fullShare: FULL_SHARE, morning: keptForMorning, morningCut: true }
const ONE_RIDE = (whole: number, ride: number) => Math.min(ride, whole / 2)

const POLICIES: Readonly<Record<string, (world: World) => void>> = {
  'listening, full time': (world) => listen(world, 'full'),
  'listening, condensed': (world) => listen(world, 'condensed'),
  'plain FSRS, single places': (world) => plainFsrs(world, { runs: false, listenFirst: false }),
  'plain FSRS, runs after one listen': (world) => plainFsrs(world, { runs: true, listenFirst: true }),
  'rides resumed': (world) => rides(world, { fullShare: 1 }),
  'learning.md v5': (world) => rides(world, { fullShare: 0, firstRideFull: true, morning: ONE_RIDE }),
  ours: (world) => rides(world, OURS),
  'ours, morning not free': (world) => rides(world, { fullShare: FULL_SHARE }),
  'ours, two sittings a day': (world) => rides(world, { ...OURS, sittings: 2 }),
}

const label = (one: (typeof SETTINGS)[number]) => `${one.days}d ${one.minutes}m ${one.calls}`
const mean = (values: readonly number[]) => values.reduce((sum, one) => sum + one, 0) / values.length

/** Simulated learners of two published models; seeds 1 to SEEDS, the same people for every policy. */
export async function run(): Promise<void> {
  for (const model of Object.keys(MODELS) as Model[]) compare(model)
  for (const model of Object.keys(MODELS) as Model[]) forecasts(model)
}

function compare(model: Model): void {
  const known: Record<string, number[][]> = {}
  const table: Record<string, Record<string, string>> = {}
  for (const [name, policy] of Object.entries(POLICIES)) {
    table[name] = {}
    known[name] = SETTINGS.map((setting) => {
      const inOrder: number[] = []
      const shares = Array.from({ length: SEEDS }, (_, i) => {
        const world = makeWorld(model, setting, i + 1)
        policy(world)
        const result = examine(world)
        inOrder.push(result.inOrder)
        return result.known
      })
      table[name]![label(setting)] = `${mean(shares).toFixed(0)}/${mean(inOrder).toFixed(0)}`
      return shares
    })
  }
  console.log(`\n${model} learner, ${SEEDS} seeds: known / in order, %`)
  console.table(table)
  const left = (name: string, s: number) => 100 - mean(known[name]![s]!)
  console.log(
    `of what condensed listening leaves unknown, ours takes away, %: ${SETTINGS.map((setting, s) => `${label(setting)} ${(100 - (100 * left('ours', s)) / left('listening, condensed', s)).toFixed(0)}`).join(', ')}`,
  )
  ceiling(model)
  const least = (against: string) =>
    Math.min(...SETTINGS.map((_, s) => mean(known.ours![s]!.map((one, i) => one - known[against]![s]![i]!))))
  for (const [against, bar] of [
    ['listening, condensed', 10],
    ['plain FSRS, single places', 10],
    ['rides resumed', -1],
    ['learning.md v5', -1],
  ] as const) {
    const points = least(against)
    console.log(
      `ours less "${against}", least over settings: ${points.toFixed(1)} points (bar ${bar}: ${points >= bar ? 'held' : 'NOT held'})`,
    )
  }
}

/** Where listening alone leaves little, what four times the minutes would bring: a lead cannot be larger than what is left. */
function ceiling(model: Model): void {
  const setting = { ...SETTINGS[4]!, minutes: 4 * SETTINGS[4]!.minutes }
  const shares = Array.from({ length: Math.min(SEEDS, 30) }, (_, i) => {
    const world = makeWorld(model, setting, i + 1)
    rides(world, OURS)
    return examine(world).known
  })
  console.log(`${label(setting)}, ours, ${shares.length} seeds: ${mean(shares).toFixed(1)} % known`)
}

function forecasts(model: Model): void {
  const table: Record<string, Record<string, string>> = {}
  for (const setting of SETTINGS) {
    const errors: number[][] = Array.from({ length: setting.days }, () => [])
    for (let seed = 1; seed <= SEEDS; seed++) {
      const world = makeWorld(model, setting, seed)
      const said = forecastEvenings(world)
      const { known } = examine(world)
      said.forEach((share, day) => {
        errors[day]!.push(Math.abs(100 * share - known))
      })
    }
    table[label(setting)] = Object.fromEntries(errors.map((one, day) => [`evening ${day + 1}`, mean(one).toFixed(1)]))
  }
  console.log(
    `\n${model} learner: mean error of the forecast after each evening, points; the last evening's is the final one`,
  )
  console.table(table)
}

/** Plays our policy and says after each evening what will be known on the day. */
function forecastEvenings(world: World): number[] {
  const { setting } = world
  const memories: (Memory | null)[] = new Array(setting.calls).fill(null)
  const evidence: Evidence[] = []
  const overnight: { passes: number; recalled: boolean }[] = []
  const said: number[] = []
  const date = new Date(world.event * 1000).toISOString().slice(0, 10)
  rides(
    world,
    OURS,
    (call, at, grade) => {
      const before = memories[call]!
      if (grade !== null && before !== null) {
        const features = featuresAt(before, at)
        evidence.push({ recalled: grade !== 'no', inTime: grade === 'in time', features })
        if (isOvernight(features))
          overnight.push({ passes: before.successes + before.others, recalled: grade !== 'no' })
      }
      memories[call] = afterReview(before, { at, how: grade === null ? 'listen' : 'voice', grade })
    },
    (day, state, now) => {
      const plan = planByDay({
        now: now + 1,
        event: { date, time: '10:00', zone: 'UTC' },
        minutesPerDay: setting.minutes,
        morning: true,
        costs: world.costs,
        state: { ...state, fullToday: 0 },
        doneToday: setting.minutes * 60,
      })
      // The last evening's minutes less the morning's are done as well.
      const ahead = day === setting.days - 1 ? plan.days.filter((one) => one.when === 'morning') : plan.days
      const meetings = meetingsOf(ahead, setting.calls)
      said.push(
        knownOnTheDay({ memories, head: fitHead(evidence, 'recall'), at: world.event, meetings, overnight }, now),
      )
    },
  )
  return said
}
