import { fitRun, sweepRun } from '../rehearsal/fitRun.ts'
import { solveRun } from '../rehearsal/planRun.ts'
import { prepareStage } from '../rehearsal/prepareStage.ts'
import type { SaidCall } from '../rehearsal/stage.ts'
import { sayAll, WORDINGS } from '../rehearsal/voiceRun.ts'
import { fromKmh, toKmh } from '../units.ts'
import type { Streams } from './cli.ts'
import { openClips } from './openClips.ts'
import { readStage } from './readStage.ts'
import { readSweep } from './readTarget.ts'
import { type RunOptions, runCommand, runSettings } from './stageOptions.ts'
import { clock, table } from './table.ts'

const SWEEP_STEP = fromKmh(2)

/** `fit`: the same run in each wording; with `--sweep`, seconds late over a range of averages. */
export function fitCommand(streams: Streams) {
  return runCommand('fit', 'which wording fits, and up to what speed')
    .option('--sweep <range>', 'seconds late over averages: 70..120km/h')
    .action(async (folder: string | undefined, options: RunOptions & { sweep?: string }) => {
      const disk = readStage(folder, options)
      const run = runSettings(disk, options)
      const sweep = options.sweep === undefined ? null : readSweep(options.sweep)
      const stage = prepareStage(disk.stage)
      const profile = solveRun(stage, run)
      const clips = await openClips(streams)
      const said: SaidCall[][] = []
      try {
        for (const wording of WORDINGS) said.push(await sayAll(stage, wording, run, clips.studio))
      } finally {
        await clips.close()
      }
      const fit = fitRun(stage, run, profile, said)
      const averages =
        sweep === null
          ? []
          : Array.from(
              { length: Math.floor((sweep.to - sweep.from) / SWEEP_STEP + 1e-9) + 1 },
              (_, i) => sweep.from + i * SWEEP_STEP,
            )
      const sweeps = WORDINGS.map((wording, m) => ({ wording, points: sweepRun(stage, run, said[m]!, averages) }))
      if (options.json) {
        const about = {
          averageSpeed: profile.averageSpeed,
          time: profile.duration,
          commitment: profile.commitment,
          surface: run.surface,
          car: run.car,
        }
        streams.out(
          `${JSON.stringify({ stage: stage.title, run: about, ...fit, ...(sweep === null ? {} : { sweep: sweeps }) })}\n`,
        )
        return
      }
      streams.out(`${stage.title} at ${toKmh(profile.averageSpeed).toFixed(1)} km/h, ${clock(profile.duration)}\n\n`)
      streams.out(
        table(
          ['wording', 'crunches', 'late calls', 'late s', 'words', 'words/s', 'speaking', 'fits to km/h'],
          fit.wordings.map((row) => [
            row.wording,
            row.crunches,
            row.lateCalls,
            row.lateSeconds.toFixed(1),
            row.words,
            row.wordsPerSecond.toFixed(2),
            `${(row.speakingShare * 100).toFixed(0)}%`,
            row.fits === 'to ceiling' ? toKmh(row.ceiling!.averageSpeed).toFixed(1) : row.fits,
          ]),
        ),
      )
      if (sweep === null) return
      const cell = (seconds: number | null) => (seconds === null ? 'too fast' : seconds.toFixed(1))
      streams.out(
        `\nseconds late\n${table(
          ['km/h', ...WORDINGS],
          averages.map((speed, i) => [
            toKmh(speed).toFixed(1),
            ...sweeps.map(({ points }) => cell(points[i]!.lateSeconds)),
          ]),
        )}`,
      )
    })
}
