import { Command, Option } from 'commander'
import { DEFAULT_CALL_SETTINGS } from '../calls/defaults.ts'
import type { LeftOut, RunSettings } from '../rehearsal/stage.ts'
import type { SayAs } from '../speech/pronounce.ts'
import { findCar } from '../speed/cars.ts'
import type { SpeedLimit } from '../speed/limitedCells.ts'
import { findSurface } from '../speed/surfaces.ts'
import type { StageOnDisk } from './readStage.ts'
import { CallFault, readNumber, readTarget } from './readTarget.ts'

/** Options that name a stage: a folder, or files. */
export interface StageOptions {
  readonly notes?: string
  readonly route?: readonly string[]
  readonly log?: readonly string[]
  readonly json?: boolean
}

/** Options that set a run; each goes before what stage.json says. */
export interface RunOptions extends StageOptions {
  readonly average?: string
  readonly time?: string
  readonly wording?: RunSettings['wording']
  readonly surface?: string
  readonly car?: string
  readonly voice?: string
  readonly rate?: string
  readonly lead?: string
  readonly reaction?: string
  readonly from?: string
  readonly to?: string
}

export function stageCommand(name: string, description: string): Command {
  return new Command(name)
    .description(description)
    .argument('[stage]', 'a stage folder, or one file of notes, captions or a road')
    .option('--notes <file>', 'a notes file instead of a stage folder')
    .option(
      '--route <files...>',
      'a route file (GPX, KML, TCX, GeoJSON, OpenDRIVE, CSV); several are joined by their ends',
    )
    .option('--log <files...>', 'further logs of the same road, averaged into one')
    .option('--json', 'one JSON document, SI units, on standard output')
}

export function runCommand(name: string, description: string): Command {
  return stageCommand(name, description)
    .option('--average <speed>', 'target average: 92km/h, 57mph or 25.5m/s')
    .option('--time <m:ss.s>', 'target stage time: 6:40.0')
    .addOption(
      new Option('--wording <how>', 'how much of each call is said').choices([
        'verbose',
        'standard',
        'terse',
        'automatic',
      ]),
    )
    .option('--surface <name>', 'gravel, tarmac, …')
    .option('--car <name>', 'four-wheel-drive, …')
    .option('--voice <name>', 'a voice of the embedded engine: en, en-us, …')
    .option('--rate <words a minute>', 'how fast the voice speaks, 80 to 450')
    .option('--lead <seconds>', 'how long before its latest start a call is liked')
    .option('--reaction <seconds>', 'from the last word to the first movement')
    .option('--from <metres>', 'read from this station')
    .option('--to <metres>', 'read up to this station')
}

/** What a folder that sets nothing is run at: 80 km/h (common practice for a club gravel stage, no source). */
const USUAL_TARGET = { kind: 'average', speed: 80 / 3.6 } as const

/**
 * Settings of a run: options, then stage.json, then defaults. Throws CallFault for an option that makes no sense.
 * Without a target anywhere, the usual one.
 */
export function runSettings(disk: StageOnDisk, options: RunOptions): RunSettings {
  const own = disk.settings as Readonly<Record<string, unknown>>
  const text = (key: string, fallback: string) => (typeof own[key] === 'string' ? (own[key] as string) : fallback)
  const number = (key: string, fallback: number) => (typeof own[key] === 'number' ? (own[key] as number) : fallback)
  const option = (given: string | undefined, name: string, least: number, most: number, fallback: number) =>
    given === undefined ? fallback : readNumber(given, name, least, most)
  const settings: RunSettings = {
    target: readTarget(options) ?? disk.settings.target ?? USUAL_TARGET,
    wording: options.wording ?? (text('wording', 'standard') as RunSettings['wording']),
    surface: options.surface ?? text('surface', 'gravel'),
    car: options.car ?? text('car', 'four-wheel-drive'),
    voice: options.voice ?? text('voice', 'en'),
    rate: option(options.rate, '--rate', 80, 450, number('rate', 200)),
    pitch: number('pitch', 50),
    calls: {
      ...DEFAULT_CALL_SETTINGS,
      lead: option(options.lead, '--lead', 0, 30, number('lead', DEFAULT_CALL_SETTINGS.lead)),
      reaction: option(options.reaction, '--reaction', 0, 10, number('reaction', DEFAULT_CALL_SETTINGS.reaction)),
      waiting: number('waiting', DEFAULT_CALL_SETTINGS.waiting),
      ahead: number('ahead', DEFAULT_CALL_SETTINGS.ahead),
    },
    from: option(options.from, '--from', 0, 1e7, 0),
    to: option(options.to, '--to', 0, 1e7, Number.POSITIVE_INFINITY),
    pins: pinsOf(own),
    sayAs: rows<SayAs>(own.sayAs, { write: 'string', say: 'string' }),
    leftOut: rows<LeftOut>(own.leftOut, { call: 'number', text: 'string', element: 'number' }),
    limits: rows<SpeedLimit>(own.limits, { from: 'number', to: 'number', speed: 'number' }),
  }
  if (!(settings.from < settings.to)) throw new CallFault(`--from ${settings.from} is not before --to ${settings.to}.`)
  known(() => findCar(settings.car))
  known(() => findSurface(settings.surface))
  return settings
}

/** Words of stage.json that are never dropped; anything else in the list is passed over. */
export const pinsOf = ({ pins }: Readonly<Record<string, unknown>>): string[] =>
  Array.isArray(pins) ? pins.filter((pin): pin is string => typeof pin === 'string') : []

/** Rows of stage.json whose fields are of these types; anything else in the list is passed over. */
function rows<T>(list: unknown, fields: Readonly<Record<keyof T & string, 'number' | 'string'>>): T[] {
  if (!Array.isArray(list)) return []
  return list.filter(
    (row) =>
      typeof row === 'object' &&
      row !== null &&
      Object.entries(fields).every(([name, type]) => typeof row[name] === type),
  )
}

function known(find: () => unknown): void {
  try {
    find()
  } catch (error) {
    throw new CallFault((error as Error).message)
  }
}
