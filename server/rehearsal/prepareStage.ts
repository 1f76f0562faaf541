import { calledJumps } from '../calls/calledJumps.ts'
import type { NoteSettings } from '../notes/notes.ts'
import { parseNotes } from '../notes/parseNotes.ts'
import { layCalledCrests } from '../placement/drawnCrests.ts'
import { placeCalls } from '../placement/placeCalls.ts'
import { roadFromNotes } from '../placement/roadFromNotes.ts'
import { assembleRoad, editRoad } from '../route/assembleRoad.ts'
import type { Route } from '../route/route.ts'
import { roadCells } from '../speed/roadCells.ts'
import { fastEndByRoad, fastEndIsOpen } from './fastEndByRoad.ts'
import type { PreparedStage, StageReading, StageToRehearse } from './stage.ts'

/** A stage that cannot be prepared as it stands: one sentence of what, where and how to mend. */
export class StageProblem extends Error {
  override readonly name = 'StageProblem'
}

/** How the parser is to read these notes. */
export function noteSettings(reading: StageReading): NoteSettings {
  return {
    ...(reading.gradeSystem ? { system: reading.gradeSystem } : {}),
    ...(reading.dictated === undefined ? {} : { dictated: reading.dictated }),
    ...(reading.distances ? { units: reading.distances } : {}),
    ...(reading.crewWords ? { crewWords: reading.crewWords } : {}),
  }
}

/** The measured road of a stage, or null when it has none. Throws RouteFileError in words. */
export function roadOf(stage: StageToRehearse): Route | null {
  if (stage.route === null) return null
  const { route } = assembleRoad([stage.route, ...(stage.moreRoutes ?? [])], stage.settings.lines ?? null)
  return editRoad(route, stage.settings)
}

/**
 * Notes to calls, file to road, calls onto road. Without a road file the road is drawn from the notes; without notes there
 * is a road and nothing to say. Throws StageProblem when neither is there.
 */
export function prepareStage(stage: StageToRehearse, known?: { route: Route | null }): PreparedStage {
  const settings = noteSettings(stage.settings)
  const asWritten = parseNotes(stage.notes, settings)
  const measured = known ? known.route : roadOf(stage)
  const open = measured !== null && measured.source !== 'notes' && fastEndIsOpen(asWritten.notes, settings)
  const byRoad = open
    ? fastEndByRoad(stage.notes, settings, (one) => placeCalls(one, measured, { anchors: stage.anchors }))
    : null
  const { notes, diagnostics } =
    byRoad === null ? asWritten : parseNotes(stage.notes, { ...settings, fastByRoad: byRoad.odds })
  if (measured === null && notes.calls.length === 0) {
    throw new StageProblem(`"${stage.title}" has neither notes nor a road: type or paste notes, or add a route file.`)
  }
  const length = stage.settings.length
  const drawn = measured === null ? roadFromNotes(notes, length ? { length } : {}) : null
  const placed = () => byRoad?.placed[notes.system.fastest] ?? placeCalls(notes, measured!, { anchors: stage.anchors })
  const { route, placement } = drawn ?? layCalledCrests(notes, measured!, placed())
  return {
    title: stage.title,
    notes,
    diagnostics,
    route,
    placement,
    cells: roadCells(route, calledJumps(notes, placement, route)),
    ...(byRoad === null ? {} : { fastByRoad: byRoad.odds }),
  }
}
