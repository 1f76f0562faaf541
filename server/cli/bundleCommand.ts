import { existsSync, statSync } from 'node:fs'
import { Command } from 'commander'
import { openBundle } from '../library/openBundle.ts'
import { writeBundle } from '../library/writeBundle.ts'
import { writePieces } from '../speech/writePieces.ts'
import type { Streams } from './cli.ts'
import { cannotWrite, formatOf } from './outFile.ts'
import { InputFault } from './readStage.ts'
import { CallFault } from './readTarget.ts'

/** `bundle`: a stage folder as a zip, or a bundle opened as a new folder; never over one that is there. */
export function bundleCommand(streams: Streams) {
  return new Command('bundle')
    .description('a stage folder as one zip, or with --open a zip as a stage folder')
    .argument('<stage>', 'a stage folder, or with --open a bundle')
    .option('--out <path>', 'the zip to write: name.zip; with --open the folder to make')
    .option('--takes', 'the recorded takes too')
    .option('--open', 'open a bundle')
    .option('--json', 'one JSON document on standard output')
    .action(async (stage: string, options: { out?: string; takes?: boolean; open?: boolean; json?: boolean }) => {
      if (!options.out) throw new CallFault('bundle needs --out: a file name.zip, or with --open a folder to make.')
      const { out } = options
      if (options.open) {
        if (existsSync(out)) throw new InputFault(`"${out}" is there already; a bundle is opened as a new folder.`)
        if (!existsSync(stage)) throw new InputFault(`"${stage}" is not there; name a bundle.`)
        const { leftOut } = await openBundle(stage, out)
        streams.out(
          options.json
            ? `${JSON.stringify({ out, leftOut })}\n`
            : `${out}: opened${leftOut.length > 0 ? `; left out: ${leftOut.join(', ')}` : ''}.\n`,
        )
        return
      }
      formatOf(out, '--out', ['zip'])
      if (!existsSync(stage) || !statSync(stage).isDirectory())
        throw new InputFault(`"${stage}" is not a stage folder; a stage folder holds stage.json and notes.txt.`)
      await writePieces(out, writeBundle(stage, { takes: options.takes ?? false, madeAt: streams.now() })).catch(
        (error) => {
          throw cannotWrite(out, error)
        },
      )
      const { size } = statSync(out)
      streams.out(options.json ? `${JSON.stringify({ out, bytes: size })}\n` : `${out}: ${size} bytes.\n`)
    })
}
