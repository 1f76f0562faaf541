import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { DEFAULT_CALL_SETTINGS } from '../../../server/calls/defaults.ts'
import { ceilingOf, fitsUpTo } from '../../../server/rehearsal/fitRun.ts'
import { planRun, solveRun } from '../../../server/rehearsal/planRun.ts'
import { prepareStage } from '../../../server/rehearsal/prepareStage.ts'
import type { RunSettings } from '../../../server/rehearsal/stage.ts'
import { estimateAll, WORDINGS } from '../../../server/rehearsal/voiceRun.ts'

const folder = fileURLToPath(new URL('../../../routes-demo/', import.meta.url))
const demos = readdirSync(folder).filter((name) => name !== 'make')
const TENTH_KMH = 0.1 / 3.6
/** Plans are kept in whole milliseconds. */
const ROUNDED = 0.0025

function open(name: string) {
  const own = JSON.parse(readFileSync(`${folder}${name}/stage.json`, 'utf8'))
  const route = readdirSync(folder + name).find((file) => file.startsWith('route.'))
  const stage = prepareStage({
    title: own.title,
    notes: readFileSync(`${folder}${name}/notes.txt`, 'utf8'),
    route: route === undefined ? null : { name: route, bytes: readFileSync(`${folder}${name}/${route}`) },
    anchors: [],
    settings: { length: own.length, distances: own.units === 'miles' ? 'yards' : 'metres' },
  })
  const run: RunSettings = { ...own, pitch: 50, calls: DEFAULT_CALL_SETTINGS, from: 0, to: 1e9, pins: [] }
  return { stage, run }
}

describe.each(demos.flatMap((demo) => WORDINGS.map((wording) => ({ demo, wording }))))(
  '$demo, $wording',
  ({ demo, wording }) => {
    const { stage, run } = open(demo)
    const said = estimateAll(stage, wording, run)
    const solved = ceilingOf(stage, run, said, solveRun(stage, run).commitment)
    const fits = fitsUpTo(solved)
    const at = solved?.ceiling?.averageSpeed ?? Number.NaN
    const lateAt = (speed: number) =>
      Math.max(
        ...planRun({
          stage,
          run: { ...run, target: { kind: 'average', speed } },
          said,
          speech: 'estimated',
        }).plan.calls.map((call) => call.late),
      )

    it.runIf(fits === 'to ceiling')('fits at its ceiling', () => {
      expect(lateAt(at)).toBeLessThanOrEqual(ROUNDED)
    })

    it.runIf(fits === 'to ceiling')('does not fit a tenth of a km/h above it', () => {
      expect(lateAt(at + TENTH_KMH)).toBeGreaterThan(0)
    })

    it.runIf(fits === 'any speed')('fits at the fastest this car can do, where that is said', () => {
      const fastest = solveRun(stage, { ...run, target: { kind: 'commitment', commitment: 1 } })
      expect(lateAt(fastest.averageSpeed)).toBeLessThanOrEqual(ROUNDED)
    })
  },
)
