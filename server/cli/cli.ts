import { Command, CommanderError } from 'commander'
import { SpeechError } from '../speech/speechEngine.ts'
import { bundleCommand } from './bundleCommand.ts'
import { checkCommand } from './checkCommand.ts'
import { cuesCommand } from './cuesCommand.ts'
import { fitCommand } from './fitCommand.ts'
import { placeCommand } from './placeCommand.ts'
import { planCommand } from './planCommand.ts'
import { printCommand } from './printCommand.ts'
import { readCommand } from './readCommand.ts'
import { InputFault } from './readStage.ts'
import { CallFault } from './readTarget.ts'
import { roadCommand } from './roadCommand.ts'
import { speakCommand } from './speakCommand.ts'

/** Where a command writes: standard output for the document, standard error for words to the person. */
export interface Streams {
  readonly out: (text: string) => void
  readonly err: (text: string) => void
  /** Folder of measured clips. */
  readonly clips: string
  /** Random numbers in [0, 1). */
  readonly random: () => number
  /** Seconds since 1970. */
  readonly now: () => number
}

/** Errors that say in one sentence what is wrong with the input: the input is at fault, not the program. */
const INPUT_FAULTS = new Set([
  'InputFault',
  'RouteFileError',
  'UnreachableTarget',
  'StageProblem',
  'SpeechError',
  'PrintError',
  'LibraryError',
  'UnknownCar',
  'UnknownSurface',
])

/**
 * Runs one command. Resolves to the exit code: 0 fine, 1 the input is at fault, 2 the call is at fault.
 * `argv` is without the program's own name.
 */
export async function runCli(argv: readonly string[], streams: Streams): Promise<number> {
  const program = new Command('say-when')
    .description("Rehearse a stage's pace notes at stage speed. Speeds are practice targets, not advice.")
    .exitOverride()
    .configureOutput({ writeOut: streams.out, writeErr: streams.err })
  for (const command of [
    checkCommand,
    readCommand,
    roadCommand,
    placeCommand,
    planCommand,
    fitCommand,
    speakCommand,
    cuesCommand,
    printCommand,
    bundleCommand,
  ]) {
    program.addCommand(
      command(streams).exitOverride().configureOutput({ writeOut: streams.out, writeErr: streams.err }),
    )
  }
  program.command('serve').description('the pages; npm start is this (--port N, --lan, --library DIR)')
  try {
    await program.parseAsync([...argv], { from: 'user' })
    return 0
  } catch (error) {
    return exitCode(error, streams)
  }
}

function exitCode(error: unknown, streams: Streams): number {
  if (error instanceof CommanderError) return error.exitCode === 0 ? 0 : 2
  if (error instanceof CallFault) {
    streams.err(`${error.message}\n`)
    return 2
  }
  if (
    error instanceof InputFault ||
    error instanceof SpeechError ||
    (error instanceof Error && INPUT_FAULTS.has(error.name))
  ) {
    streams.err(`${(error as Error).message}\n`)
    return 1
  }
  throw error
}
