import { parseNotes } from '../../server/notes/parseNotes.ts'
import { placeCalls } from '../../server/placement/placeCalls.ts'
import { buildRoute } from '../../server/route/buildRoute.ts'
import { type CalledRoadOptions, calledRoad } from '../made/calledRoad.ts'
import { type DraftScore, scoreDraft } from '../made/scoreDraft.ts'
import { calibration, type Scored, scoreAudit, scorePlacement } from '../made/scorePlacement.ts'
import { processorMs } from './timed.ts'

const STAGES = 20

/** Placement and audit end to end, from logged drives and typed notes with the truth known. Seeds 1–20; 101–120 held out. */
export async function run(): Promise<void> {
  const rows: Record<string, unknown>[] = []
  for (const first of [1, 101]) {
    for (const [condition, options] of [
      ['plain', {}],
      ['plain, 10 % spoiled', { spoiled: 0.1 }],
      ['hard', { hard: true }],
      ['hard, 10 % spoiled', { hard: true, spoiled: 0.1 }],
    ] as const)
      rows.push(measured(condition, first, options))
  }
  console.table(rows)
  for (const first of [1, 101]) audited(first)
  console.table([1, 101].flatMap((first) => [drafted('plain', first, {}), drafted('hard', first, { hard: true })]))
  timedLong()
}

/** Drafts of the same roads, in the crew's own fitted scale. */
function drafted(condition: string, first: number, options: Omit<CalledRoadOptions, 'seed'>) {
  const scores = Array.from({ length: STAGES }, (_, i) => {
    const stage = calledRoad({ ...options, seed: first + i })
    return scoreDraft(stage, scorePlacement(stage))
  })
  const sum = (of: (score: DraftScore) => number) => scores.reduce((total, score) => total + of(score), 0)
  const drafts = sum((score) => score.drafted)
  return {
    draft: condition,
    seeds: `${first}–${first + STAGES - 1}`,
    'of the calls': `${drafts}/${sum((score) => score.called)}`,
    'same grade %': ((100 * sum((score) => score.same)) / drafts).toFixed(1),
    'within one %': ((100 * sum((score) => score.within)) / drafts).toFixed(1),
    'two too fast %': ((100 * sum((score) => score.faster)) / drafts).toFixed(1),
    'placed back': `${sum((score) => score.back)}/${sum((score) => score.all)}`,
  }
}

/** 100 and 300 km of one fix a second: from the drive to placed calls. Processor time, as others may be working beside. */
function timedLong(): void {
  const rows = [100, 300].map((km) => {
    const stage = calledRoad({ seed: 5, hard: true, length: km * 1000 })
    let route = buildRoute(stage.draft)
    const build = processorMs(() => {
      route = buildRoute(stage.draft)
    })
    const { notes } = parseNotes(stage.notes, {})
    const once = processorMs(() => placeCalls(notes, route, { fitScale: false }))
    const place = processorMs(() => placeCalls(notes, route))
    return {
      km,
      calls: notes.calls.length,
      features: route.features.length,
      'build ms': build,
      'one pass ms': once,
      'place ms': place,
    }
  })
  console.table(rows)
}

function measured(condition: string, first: number, options: Omit<CalledRoadOptions, 'seed'>) {
  const all: Scored['corners'][number][] = []
  let worst = 1
  let crests = 0
  let crestsRight = 0
  let falseFindings = 0
  let metres = 0
  for (let seed = first; seed < first + STAGES; seed++) {
    const stage = calledRoad({ ...options, seed })
    const scored = scorePlacement(stage)
    all.push(...scored.corners)
    worst = Math.min(worst, share(scored.corners))
    crests += scored.crests.length
    crestsRight += scored.crests.filter((one) => one.right).length
    falseFindings += scoreAudit(stage, scored).false.length
    metres += scored.route.length
  }
  return {
    condition,
    seeds: `${first}–${first + STAGES - 1}`,
    'in their corner': `${all.filter((one) => one.right).length}/${all.length}`,
    '%': (100 * share(all)).toFixed(2),
    'worst %': (100 * worst).toFixed(1),
    'calibration %': (100 * calibration(all).error).toFixed(2),
    crests: `${crestsRight}/${crests}`,
    'false a 5 km': ((5000 * falseFindings) / metres).toFixed(2),
  }
}

const share = (rows: readonly { readonly right: boolean }[]) =>
  rows.filter((one) => one.right).length / Math.max(1, rows.length)

function audited(first: number): void {
  const found = new Map<string, { found: number; of: number }>()
  const falses = new Map<string, number>()
  let metres = 0
  for (let seed = first; seed < first + STAGES; seed++) {
    const stage = calledRoad({ seed, hard: true, faults: 0.04 })
    const scored = scorePlacement(stage)
    const audit = scoreAudit(stage, scored)
    metres += scored.route.length
    for (const [kind, row] of audit.found) {
      const sum = found.get(kind) ?? { found: 0, of: 0 }
      found.set(kind, { found: sum.found + row.found, of: sum.of + row.of })
    }
    for (const one of audit.false) falses.set(one.code, (falses.get(one.code) ?? 0) + 1)
  }
  console.log(
    `audit, hard stages with 4 % of each fault, seeds ${first}–${first + STAGES - 1}, ${(metres / 1000).toFixed(0)} km`,
  )
  console.table(
    [...found].map(([kind, row]) => ({
      fault: kind,
      found: `${row.found}/${row.of}`,
      '%': ((100 * row.found) / row.of).toFixed(0),
    })),
  )
  const total = [...falses.values()].reduce((a, b) => a + b, 0)
  console.log(`false findings a 5 km: ${((5000 * total) / metres).toFixed(2)}`, Object.fromEntries(falses))
}
