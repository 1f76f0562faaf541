import { existsSync, readdirSync, readFileSync, statSync } from 'node:fs'
import { basename, join } from 'node:path'
import { addedRoads, type RoadUse } from '../library/roadFiles.ts'
import { crewTableFault } from '../notes/crewTable.ts'
import { type CaptionNotes, looksLikeCaptions, readCaptions } from '../notes/readCaptions.ts'
import type { Anchor } from '../placement/placement.ts'
import type { StageToRehearse } from '../rehearsal/stage.ts'
import type { Target } from '../speed/speed.ts'
import { CallFault } from './readTarget.ts'

/** A stage and how its folder says it is to be run; settings are what stage.json holds, unchecked beyond their use here. */
export interface StageOnDisk {
  readonly stage: StageToRehearse
  readonly notesFile: string | null
  /** Times of what was spoken, where the notes came as captions. */
  readonly captions: CaptionNotes | null
  readonly settings: Readonly<Record<string, unknown>> & { readonly target?: Target }
}

/** The input is at fault (exit code 1): one line of what, where and how to mend. */
export class InputFault extends Error {
  override readonly name = 'InputFault'
}

interface StageFiles {
  readonly notes?: string | undefined
  /** Files of the one road, the first first. */
  readonly route?: readonly string[] | undefined
  /** Further logs of the same road, to be averaged into one. */
  readonly log?: readonly string[] | undefined
}

interface RoadGiven {
  readonly file: string
  readonly use: RoadUse
}

/** Notes as text or as captions; any other file that is given alone is a road. */
const NOTES_FILE = /\.(txt|vtt|srt)$/i

const roadsGiven = ({ route, log }: StageFiles): RoadGiven[] => [
  ...(route ?? []).map((file) => ({ file, use: 'join' as const })),
  ...(log ?? []).map((file) => ({ file, use: 'average' as const })),
]

/**
 * Reads a stage folder, a single file of notes, captions or a road, or `--notes F --route F…`. Throws CallFault when none is given, InputFault for what cannot be read.
 * A route is any file of the folder named route.*, and those that stage.json names beside it.
 */
export function readStage(folder: string | undefined, files: StageFiles): StageOnDisk {
  if (folder === undefined) {
    if (files.notes === undefined && files.route === undefined) {
      throw new CallFault('Name a stage folder, or give --notes FILE and --route FILE.')
    }
    return fromFiles(basename(files.notes ?? files.route![0]!), { notes: files.notes, roads: roadsGiven(files) }, {})
  }
  const found = existsSync(folder) ? statSync(folder) : null
  if (found?.isFile() && files.notes === undefined && NOTES_FILE.test(folder))
    return fromFiles(basename(folder), { notes: folder, roads: roadsGiven(files) }, {})
  if (found?.isFile() && files.route === undefined)
    return fromFiles(basename(folder), { notes: files.notes, roads: roadsGiven({ ...files, route: [folder] }) }, {})
  if (!found?.isDirectory()) {
    throw new InputFault(
      `"${folder}" is not a stage folder; a stage folder holds stage.json, notes.txt and a route file.`,
    )
  }
  const names = readdirSync(folder)
  const route = names.find((name) => name.startsWith('route.'))
  const settings = names.includes('stage.json') ? readJson(join(folder, 'stage.json')) : {}
  const fault = crewTableFault(settings.crewWords)
  if (fault !== null)
    throw new InputFault(`"${join(folder, 'stage.json')}", the crew's own words (crewWords): ${fault}`)
  const notes = files.notes ?? (names.includes('notes.txt') ? join(folder, 'notes.txt') : undefined)
  const kept: RoadGiven[] = [
    ...(route === undefined ? [] : [{ file: join(folder, route), use: 'join' as const }]),
    ...addedRoads(settings).flatMap(({ file, use }) =>
      names.includes(file) ? [{ file: join(folder, file), use }] : [],
    ),
  ]
  const anchors = names.includes('anchors.json') ? readJson(join(folder, 'anchors.json')) : []
  if (!notes && !route && !files.route)
    throw new InputFault(`"${folder}" holds neither notes.txt nor a route file; it needs one of them.`)
  return fromFiles(
    String(settings.title ?? basename(folder)),
    { notes, roads: files.route ? roadsGiven(files) : [...kept, ...roadsGiven(files)] },
    settings,
    Array.isArray(anchors) ? (anchors as Anchor[]) : [],
  )
}

function fromFiles(
  title: string,
  files: { readonly notes: string | undefined; readonly roads: readonly RoadGiven[] },
  settings: Record<string, unknown>,
  anchors: readonly Anchor[] = [],
): StageOnDisk {
  const [route, ...moreRoutes] = files.roads.map(({ file, use }) => ({
    name: basename(file),
    bytes: readBytes(file),
    use,
  }))
  const written = files.notes === undefined ? '' : readBytes(files.notes).toString('utf8')
  const captions = looksLikeCaptions(written) ? readCaptions(written) : null
  // What came as captions was spoken.
  const spoken = captions !== null && settings.dictated === undefined ? { dictated: true } : {}
  return {
    captions,
    stage: {
      title,
      notes: captions?.text ?? written,
      route: route ?? null,
      moreRoutes,
      anchors,
      settings: { ...settings, ...spoken } as StageToRehearse['settings'],
    },
    notesFile: files.notes ?? null,
    settings,
  }
}

function readBytes(file: string): Buffer {
  try {
    return readFileSync(file)
  } catch (error) {
    throw new InputFault(
      `"${file}" cannot be read (${(error as NodeJS.ErrnoException).code ?? 'unknown'}); check its name and rights.`,
    )
  }
}

function readJson(file: string): Record<string, unknown> {
  const text = readBytes(file).toString('utf8')
  try {
    return JSON.parse(text)
  } catch (error) {
    throw new InputFault(
      `"${file}" is not valid JSON: ${(error as Error).message}. Mend it by hand or take back an older version.`,
    )
  }
}
