import { Option } from 'commander'
import { prepareStage } from '../rehearsal/prepareStage.ts'
import { voiceRun } from '../rehearsal/voiceRun.ts'
import { writePieces } from '../speech/writePieces.ts'
import { notebookHtml } from '../takealong/notebook/notebookHtml.ts'
import { LEAST_TYPE, layOut, MOST_TYPE, type Paper, USUAL_TYPE } from '../takealong/notebook/paper.ts'
import { printPdf } from '../takealong/notebook/printPdf.ts'
import type { Streams } from './cli.ts'
import { openClips } from './openClips.ts'
import { cannotWrite, formatOf } from './outFile.ts'
import { readStage } from './readStage.ts'
import { CallFault, readNumber } from './readTarget.ts'
import { type RunOptions, runCommand, runSettings } from './stageOptions.ts'

interface PrintOptions extends RunOptions {
  readonly out?: string
  readonly paper: Paper['name']
  readonly landscape?: boolean
  readonly type?: string
  readonly lines?: string
  readonly words: 'typed' | 'said'
}

/** `print`: the notebook, its pages turned where there is time; HTML, or PDF where a Chromium is at hand. */
export function printCommand(streams: Streams) {
  return runCommand('print', 'write the notebook for print, pages turned where there is time')
    .option('--out <file>', 'name.html, or name.pdf where a Chromium is at hand')
    .addOption(new Option('--paper <size>', 'of the sheet').choices(['A5', 'A6']).default('A5'))
    .option('--landscape', 'the long side across')
    .option('--type <pt>', 'size of the type')
    .option('--lines <count>', 'at most so many lines a page')
    .addOption(
      new Option('--words <which>', 'as the crew typed them, or as said in the wording')
        .choices(['typed', 'said'])
        .default('typed'),
    )
    .action(async (folder: string | undefined, options: PrintOptions) => {
      if (!options.out) throw new CallFault('print needs --out FILE.html or FILE.pdf.')
      const out = options.out
      const format = formatOf(out, '--out', ['html', 'pdf'])
      const paper: Paper = {
        name: options.paper,
        landscape: options.landscape ?? false,
        type:
          options.type === undefined
            ? USUAL_TYPE[options.paper]
            : readNumber(options.type, '--type', LEAST_TYPE, MOST_TYPE),
        lines: options.lines === undefined ? null : Math.round(readNumber(options.lines, '--lines', 1, 200)),
      }
      roomFor(paper)
      const disk = readStage(folder, options)
      const run = runSettings(disk, options)
      const stage = prepareStage(disk.stage)
      const clips = await openClips(streams)
      const rehearsal = await voiceRun(stage, run, clips.studio).finally(clips.close)
      const units = disk.settings.units === 'miles' ? 'miles' : 'metric'
      const { html, pages } = notebookHtml(rehearsal, paper, { units, words: options.words })
      const write = format === 'pdf' ? printPdf(html, out) : writePieces(out, [new TextEncoder().encode(html)])
      await write.catch((error) => {
        throw cannotWrite(out, error)
      })
      const forced = pages.filter((page) => page.turn?.short || page.turn?.crunch).length
      if (options.json) streams.out(`${JSON.stringify({ out, pages: pages.length, forced })}\n`)
      else
        streams.out(
          `${out}: ${pages.length} pages; ${forced === 0 ? 'every turn has its time' : `${forced} ${forced === 1 ? 'turn has too little time and is' : 'turns have too little time and are'} marked`}.\n`,
        )
    })
}

function roomFor(paper: Paper): void {
  try {
    layOut(paper)
  } catch {
    throw new CallFault(`--type ${paper.type} leaves no room on ${paper.name}; choose a smaller one.`)
  }
}
