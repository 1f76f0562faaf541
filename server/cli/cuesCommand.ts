import { prepareStage } from '../rehearsal/prepareStage.ts'
import { voiceRun } from '../rehearsal/voiceRun.ts'
import { writePieces } from '../speech/writePieces.ts'
import { CUE_FORMATS, cueFile } from '../takealong/cueFile.ts'
import type { Streams } from './cli.ts'
import { openClips } from './openClips.ts'
import { cannotWrite, formatOf } from './outFile.ts'
import { readStage } from './readStage.ts'
import { CallFault, readNumber } from './readTarget.ts'
import { type RunOptions, runCommand, runSettings } from './stageOptions.ts'

/** `cues`: the calls as captions over an on-board video, as a table, or as points on a map. */
export function cuesCommand(streams: Streams) {
  return runCommand('cues', 'write the calls as captions, a table or map points')
    .option(
      '--out <file>',
      'name.vtt or name.srt (captions), name.csv or name.json (tables), name.gpx (a waypoint a call)',
    )
    .option('--offset <seconds>', 'captions: where the car leaves in the video', '0')
    .action(async (folder: string | undefined, options: RunOptions & { out?: string; offset: string }) => {
      if (!options.out) throw new CallFault('cues needs --out FILE.vtt, .srt, .csv, .json or .gpx.')
      const out = options.out
      const format = formatOf(out, '--out', CUE_FORMATS)
      const offset = readNumber(options.offset, '--offset', -86_400, 86_400)
      const disk = readStage(folder, options)
      const run = runSettings(disk, options)
      const stage = prepareStage(disk.stage)
      const clips = await openClips(streams)
      const rehearsal = await voiceRun(stage, run, clips.studio).finally(clips.close)
      const { text, dropped } = cueFile(rehearsal, format, offset)
      await writePieces(out, [new TextEncoder().encode(text)]).catch((error) => {
        throw cannotWrite(out, error)
      })
      const calls = rehearsal.plan.calls.length
      if (options.json) streams.out(`${JSON.stringify({ out, calls: calls - dropped, dropped })}\n`)
      else
        streams.out(
          `${out}: ${calls - dropped} calls${dropped > 0 ? `; ${dropped} before the video begins are left out` : ''}.\n`,
        )
    })
}
