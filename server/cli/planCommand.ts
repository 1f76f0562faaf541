import { planDocument } from '../rehearsal/planDocument.ts'
import { prepareStage } from '../rehearsal/prepareStage.ts'
import type { Rehearsal } from '../rehearsal/stage.ts'
import { voiceRun } from '../rehearsal/voiceRun.ts'
import { toKmh } from '../units.ts'
import type { Streams } from './cli.ts'
import { openClips } from './openClips.ts'
import { readStage } from './readStage.ts'
import { type RunOptions, runCommand, runSettings } from './stageOptions.ts'
import { clock, table } from './table.ts'

/** `plan`: when each call must be spoken at a target, and what does not fit. */
export function planCommand(streams: Streams) {
  return runCommand('plan', 'when each call must be spoken, and what does not fit')
    .option('--profile', 'with --json: the speed profile too')
    .action(async (folder: string | undefined, options: RunOptions & { profile?: boolean }) => {
      const disk = readStage(folder, options)
      const run = runSettings(disk, options)
      const stage = prepareStage(disk.stage)
      const clips = await openClips(streams)
      const rehearsal = await voiceRun(stage, run, clips.studio).finally(clips.close)
      if (options.json) streams.out(`${JSON.stringify(planDocument(rehearsal, options.profile ? 1 : undefined))}\n`)
      else streams.out(planText(rehearsal))
    })
}

/** The plan as a person reads it. */
export function planText(rehearsal: Rehearsal): string {
  const { stage, plan, profile, said } = rehearsal
  const head = `${stage.title}: ${toKmh(profile.averageSpeed).toFixed(1)} km/h average, ${clock(profile.duration)}, ${(stage.route.length / 1000).toFixed(2)} km\n`
  const drawn = stage.route.source === 'notes' ? 'The road is drawn from the notes, not measured.\n' : ''
  const rows = plan.calls.map((call, i) => [
    call.index + 1,
    clock(call.start),
    clock(call.latest),
    call.late > 0.2 ? `${call.late.toFixed(1)} s late` : call.late > 0.002 ? 'tight' : '',
    (call.station / 1000).toFixed(2),
    said[i]!.say,
  ])
  const crunches = plan.crunches.filter((crunch) => crunch.over > 0.2)
  const words = crunches.map((crunch) => {
    const text = (index: number) => plan.calls.find((call) => call.index === index)?.text.replace(/\s+/g, ' ') ?? ''
    const rate = crunch.rate === null ? 'no pace of reading helps' : `would fit read at ×${crunch.rate.toFixed(2)}`
    return `${crunch.over.toFixed(1)} s over from "${text(crunch.first)}" to "${text(crunch.last)}"; ${rate}.\n`
  })
  const fits = crunches.length === 0 ? 'Everything fits.\n' : words.join('')
  const ceiling = plan.ceiling
    ? `Everything fits up to about ${toKmh(plan.ceiling.averageSpeed).toFixed(1)} km/h (all speeds scaled alike).\n`
    : ''
  return `${head}${drawn}\n${table(['call', 'say at', 'latest', '', 'at km', 'said'], rows)}\n${fits}${ceiling}`
}
