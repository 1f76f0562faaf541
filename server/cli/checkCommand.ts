import { join } from 'node:path'
import { Option } from 'commander'
import { writeWhole } from '../library/writeWhole.ts'
import { acceptCertain } from '../notes/acceptCertain.ts'
import type { Diagnostic } from '../notes/notes.ts'
import { parseNotes } from '../notes/parseNotes.ts'
import { noteSettings, roadOf } from '../rehearsal/prepareStage.ts'
import { distanceCostOf } from '../rehearsal/roadGaps.ts'
import type { Streams } from './cli.ts'
import { InputFault, readStage } from './readStage.ts'
import { CallFault } from './readTarget.ts'
import { type StageOptions, stageCommand } from './stageOptions.ts'
import { table } from './table.ts'

type CheckOptions = StageOptions & { readonly fix?: 'certain'; readonly write?: boolean }

/** `check`: what is doubtful in notes and road; `--fix certain` prints the mended notes and never touches the file without `--write`. */
export function checkCommand(streams: Streams) {
  return stageCommand('check', 'what is doubtful in the notes, and what was lost of the road')
    .addOption(new Option('--fix <which>', 'print the notes with these fixes made').choices(['certain']))
    .option('--write', 'with --fix: save the mended notes')
    .action((folder: string | undefined, options: CheckOptions) => check(streams, folder, options))
}

function check(streams: Streams, folder: string | undefined, options: CheckOptions): void {
  if (options.write && !options.fix) throw new CallFault('--write goes with --fix certain.')
  const disk = readStage(folder, options)
  if (options.write && disk.captions)
    throw new CallFault(
      'These notes came as captions, which would lose their times; print the mended notes into a new file.',
    )
  const route = roadOf(disk.stage)
  const distanceCost = route === null ? undefined : distanceCostOf(route)
  const settings = { ...noteSettings(disk.stage.settings), ...(distanceCost ? { distanceCost } : {}) }
  const text = disk.stage.notes
  if (options.fix) {
    const { text: mended, dictated } = acceptCertain(text, settings)
    if (options.write && disk.notesFile) {
      // What tells that it was dictated is mended away: the answer stays with the stage, and is there before the notes change.
      const unsaid = dictated && disk.settings.dictated === undefined
      if (unsaid && folder !== undefined && disk.notesFile === join(folder, 'notes.txt'))
        save(join(folder, 'stage.json'), JSON.stringify({ ...disk.settings, dictated }, null, 2))
      save(disk.notesFile, mended)
    }
    streams.out(mended)
    return
  }
  const diagnostics = parseNotes(text, { ...settings, repair: true }).diagnostics.map((one) => withLine(one, text))
  const lost = Object.entries(route?.losses ?? {})
    .filter(([, count]) => count > 0)
    .map(([reason, count]) => ({
      severity: 'info' as const,
      code: 'road-loss',
      message: `The road file: ${reason}, ${count}.`,
      range: [0, 0] as [number, number],
      line: 0,
      column: 0,
    }))
  const all = [...diagnostics, ...lost]
  if (options.json) streams.out(`${JSON.stringify({ diagnostics: all })}\n`)
  else if (all.length === 0) streams.out('Nothing doubtful.\n')
  else
    streams.out(
      table(
        ['line', 'column', '', 'what'],
        all.map((one) => [one.line, one.column, one.severity, one.message]),
      ),
    )
}

function withLine(diagnostic: Diagnostic, text: string) {
  const { from, to, ...rest } = diagnostic
  const before = text.slice(0, from).split('\n')
  return { ...rest, range: [from, to] as [number, number], line: before.length, column: before.at(-1)!.length + 1 }
}

function save(file: string, text: string): void {
  try {
    writeWhole(file, text)
  } catch (error) {
    throw new InputFault(
      `"${file}" cannot be written (${(error as NodeJS.ErrnoException).code ?? 'unknown'}); the notes are unchanged.`,
    )
  }
}
