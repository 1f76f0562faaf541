import { z } from 'zod'
import { LibraryError } from '../library/libraryError.ts'
import { replacedRoad } from '../library/roadFiles.ts'
import type { StageFolder, StageLibrary } from '../library/stageLibrary.ts'
import type { Anchor } from '../placement/placement.ts'
import { editRoad, type TellProgress, type WholeRoad } from '../route/assembleRoad.ts'
import { RouteFileError } from '../route/routeFileError.ts'
import type { SpeedLimit } from '../speed/limitedCells.ts'
import type { EpochTime } from '../units.ts'
import { carryEdit, carryStation, type EditedRoad } from './carryStations.ts'
import type { StageDesk } from './stageDesk.ts'
import { anchorsSchema, limitsSchema, type StageSettings } from './wire.ts'
import { MOST_ADDED, MOST_LINES, type RoadChange, type RoadChoice, type RoadFileUse, roadSettings } from './wireRoad.ts'

/** Changes that can be taken back, the last first. */
const KEPT_CHANGES = 40
/** Share of the work done when a road is built and its file is not yet kept. */
const KEEPING = 0.97
/** Points of a whole road that a page draws. */
const DRAWN_POINTS = 4000

/** A road file as it came. */
interface NewRoadFile {
  readonly name: string
  readonly use: RoadFileUse
  readonly bytes: Uint8Array
}

/** What stood before a change, and what it cost. */
const earlierSchema = z.array(
  z.object({
    what: z.string(),
    at: z.number(),
    before: z.object(roadSettings),
    anchors: anchorsSchema,
    limits: limitsSchema,
    replaced: z.object({ version: z.string(), name: z.string() }).nullable(),
    /** There was no road file before. */
    first: z.boolean().optional(),
  }),
)
type Earlier = z.infer<typeof earlierSchema>[number]
type Taken = Pick<StageSettings, 'stretch' | 'reversed' | 'lines' | 'roads'>

/** The road before a change, and how many lines its files held. */
type Standing = EditedRoad & { readonly lines: number }

interface Note {
  readonly what: string
  readonly replaced: Earlier['replaced']
  /** The files are others now: the stretch is looked for on the ground. */
  readonly carryEdit: boolean
  /** There was no road file before. */
  readonly first?: boolean
}

/**
 * What a crew makes of its road files: stretch, direction, lines, further files. Files are never changed; the choice is in stage.json, with what stood before it,
 * so that every change can be taken back. Places put by hand and speed limits keep their place on the ground.
 */
export class RoadDesk {
  private readonly desk: StageDesk
  private readonly library: StageLibrary
  private readonly now: () => EpochTime
  private readonly turns = new Map<string, Promise<unknown>>()

  constructor(desk: StageDesk, now: () => EpochTime) {
    this.desk = desk
    this.library = desk.library
    this.now = now
  }

  /** Rejects with RouteFileError where the files hold no road; null without files. */
  async choice(id: string, told: string | null = null): Promise<RoadChoice | null> {
    const folder = this.library.read(id)
    const settings = this.desk.settings(folder)
    const whole = await this.desk.roads.ready(folder, settings.lines)
    return whole === null ? null : this.view(folder, settings, whole, told)
  }

  change(id: string, change: RoadChange): Promise<RoadChoice | null> {
    return this.inTurn(id, () => this.changed(id, change))
  }

  /** A road file in the place of those there are, or joined to them. Built before it is kept: a file that holds no road changes nothing. */
  addFile(id: string, file: NewRoadFile, tell?: TellProgress): Promise<RoadChoice | null> {
    return this.inTurn(id, () => this.added(id, file, tell))
  }

  /** Takes the last change back; told where there is none. */
  undo(id: string): Promise<RoadChoice | null> {
    return this.inTurn(id, () => this.undone(id))
  }

  /** One change of a stage's road after another: each builds on what the one before has written. */
  private async inTurn<T>(id: string, work: () => Promise<T>): Promise<T> {
    const before = this.turns.get(id) ?? Promise.resolve()
    const mine = before.then(work, work)
    this.turns.set(id, mine)
    try {
      return await mine
    } finally {
      if (this.turns.get(id) === mine) this.turns.delete(id)
    }
  }

  private async changed(id: string, change: RoadChange): Promise<RoadChoice | null> {
    const settings = this.desk.settings(this.library.read(id))
    const { stretch, reversed, lines, without } = change
    if (Object.values(change).every((one) => one === undefined)) return this.choice(id)
    if (without !== undefined && !(settings.roads ?? []).some(({ file }) => file === without))
      throw new LibraryError(`This road has no further file "${without}"; reload the page.`, 404)
    const next: Taken = {
      ...taken(settings),
      ...(stretch === undefined ? {} : { stretch }),
      ...(reversed === undefined ? {} : { reversed }),
      ...(lines === undefined ? {} : { lines }),
      ...(without === undefined
        ? {}
        : { roads: (settings.roads ?? []).filter(({ file }) => file !== without), lines: null }),
    }
    const what =
      without !== undefined
        ? 'a file left out'
        : lines !== undefined
          ? 'lines chosen'
          : stretch !== undefined
            ? 'start and finish'
            : 'direction'
    const elsewhere = lines !== undefined || without !== undefined
    return this.settle(id, next, { what, replaced: null, carryEdit: elsewhere && stretch === undefined })
  }

  private async added(id: string, q: NewRoadFile, tell?: TellProgress): Promise<RoadChoice | null> {
    const before = this.library.read(id)
    const settings = this.desk.settings(before)
    const use = before.route === null || q.use === 'instead' ? null : q.use
    if (use && (settings.roads ?? []).length >= MOST_ADDED)
      throw new RouteFileError(
        `A road is made of ${MOST_ADDED + 1} files at most; leave one out before adding another.`,
      )
    const tried = await this.desk.roads.tried(
      use ? [before.route!, ...before.moreRoutes, { ...q, use }] : [{ name: q.name, bytes: q.bytes }],
      null,
      tell,
    )
    tell?.('keeping the file', KEEPING)
    const old = this.standing(before, settings)
    const chosen = use && settings.lines ? [...settings.lines, ...(use === 'join' ? newLines(old, tried) : [])] : null
    const lines = chosen !== null && chosen.length > MOST_LINES ? null : chosen
    const roads = use ? [...(settings.roads ?? []), this.library.addRoute(id, q.name, use, q.bytes)] : []
    const replaced = use ? null : this.library.saveRoute(id, q)
    this.desk.roads.keep({ ...this.library.read(id), moreRoutes: this.library.roadsOf(id, roads) }, null, tried)
    const what =
      use === 'average'
        ? `"${q.name}" averaged in`
        : use
          ? `"${q.name}" joined on`
          : `"${q.name}" in place of the road before`
    const first = before.route === null
    return this.settle(
      id,
      { stretch: null, reversed: use ? settings.reversed : false, lines, roads },
      { what: first ? `"${q.name}"` : what, replaced, carryEdit: use !== null, first },
      old,
    )
  }

  private async undone(id: string): Promise<RoadChoice | null> {
    const folder = this.library.read(id)
    const [last, ...rest] = earlierOf(folder)
    if (!last) return this.choice(id, 'There is nothing to take back.')
    const old = this.standing(folder, this.desk.settings(folder))
    if (last.first) this.library.saveRoute(id, null)
    if (last.replaced) {
      const bytes = replacedRoad(this.library.folderOf(id), last.replaced.version)
      if (bytes === null) return this.choice(id, 'The road before is not in the stage’s folder any more.')
      this.library.saveRoute(id, { name: last.replaced.name, bytes })
    }
    return this.settle(id, taken(last.before), { undone: last, rest }, old)
  }

  /** The road as it stands, where it can be built: what is placed on it is carried over. */
  private standing(folder: StageFolder, settings: StageSettings): Standing | null {
    try {
      const whole = this.desk.roads.whole(folder, settings.lines)
      return whole === null ? null : { whole: whole.route, edit: settings, lines: whole.lines.length }
    } catch {
      return null
    }
  }

  private async settle(
    id: string,
    wanted: Taken,
    note: Note | { undone: Earlier; rest: Earlier[] },
    standing?: Standing | null,
  ): Promise<RoadChoice | null> {
    const folder = this.library.read(id)
    const settings = this.desk.settings(folder)
    const old = standing === undefined ? this.standing(folder, settings) : standing
    const files = { route: folder.route, moreRoutes: this.library.roadsOf(id, wanted.roads ?? []) }
    const whole = await this.desk.roads.ready(files, wanted.lines)
    if (whole === null) {
      const left = 'rest' in note ? note.rest : earlierOf(folder)
      this.library.change(id, { settings: { ...wanted, roadBefore: left } })
      return null
    }
    const next = 'what' in note && note.carryEdit && old ? { ...wanted, ...carryEdit(old, whole.route) } : wanted
    editRoad(whole.route, next)
    const undone = 'undone' in note ? note.undone : null
    // Read anew: a long road takes seconds, and what was put by hand meanwhile is carried too.
    const { anchors: put } = this.library.read(id)
    const { limits: set } = this.desk.settings(this.library.read(id))
    const carried = carry(old, { whole: whole.route, edit: next }, put, set)
    const anchors = [
      ...carried.anchors,
      ...(undone?.anchors ?? []).filter((one) => !carried.anchors.some(({ call }) => call === one.call)),
    ]
    const limits = [...carried.limits, ...(undone?.limits ?? [])]
    const earlier: Earlier[] =
      'undone' in note
        ? note.rest
        : [
            {
              what: note.what,
              at: this.now(),
              before: taken(settings),
              anchors: carried.lostAnchors,
              limits: carried.lostLimits,
              replaced: note.replaced,
              ...(note.first ? { first: true } : {}),
            },
            ...earlierOf(folder),
          ].slice(0, KEPT_CHANGES)
    this.library.change(id, { settings: { ...next, limits, roadBefore: earlier } })
    this.library.saveAnchors(id, anchors)
    const lost = carried.lostAnchors.length
    const told =
      lost === 0
        ? null
        : `${lost} ${lost === 1 ? 'call' : 'calls'} put by hand ${lost === 1 ? 'is' : 'are'} not on this road; undo brings ${lost === 1 ? 'it' : 'them'} back.`
    return this.choice(id, told)
  }

  private view(
    folder: StageFolder,
    settings: StageSettings,
    { route, lines }: WholeRoad,
    told: string | null,
  ): RoadChoice {
    const step = Math.max(1, Math.ceil(route.x.length / DRAWN_POINTS))
    const at = Array.from({ length: Math.ceil(route.x.length / step) }, (_, i) => i * step)
    if (at.at(-1) !== route.x.length - 1) at.push(route.x.length - 1)
    const { stretch } = settings
    return {
      length: route.length,
      source: route.source,
      step,
      x: at.map((i) => Number(route.x[i]!.toFixed(1))),
      y: at.map((i) => Number(route.y[i]!.toFixed(1))),
      from: stretch ? Math.min(stretch.from, route.length) : 0,
      to: stretch ? Math.min(stretch.to, route.length) : route.length,
      reversed: settings.reversed ?? false,
      chosen: Boolean(stretch),
      lines,
      files: [{ file: 'route', name: folder.route!.name, use: 'join' }, ...(settings.roads ?? [])],
      losses: route.losses,
      undo: earlierOf(folder)[0]?.what ?? null,
      told,
    }
  }
}

/** Lines of the file added last that its own longest road is made of. */
const newLines = (before: Standing | null, { lines }: WholeRoad): number[] =>
  lines.flatMap((line, i) => (line.used && before !== null && i >= before.lines ? [i] : []))

const taken = ({ stretch, reversed, lines, roads }: Taken): Required<Taken> => ({
  stretch: stretch ?? null,
  reversed: reversed ?? false,
  lines: lines ?? null,
  roads: roads ?? [],
})

function earlierOf(folder: StageFolder): Earlier[] {
  const parsed = earlierSchema.safeParse(folder.settings.roadBefore)
  return parsed.success ? parsed.data : []
}

function carry(
  before: EditedRoad | null,
  after: EditedRoad,
  anchors: readonly Anchor[],
  limits: readonly SpeedLimit[],
) {
  const to = (station: number) => (before === null ? station : carryStation(before, after, station))
  const out = {
    anchors: [] as Anchor[],
    lostAnchors: [] as Anchor[],
    limits: [] as SpeedLimit[],
    lostLimits: [] as SpeedLimit[],
  }
  for (const one of anchors) {
    const station = to(one.station)
    if (station === null) out.lostAnchors.push(one)
    else out.anchors.push({ ...one, station })
  }
  for (const one of limits) {
    const ends = [to(one.from), to(one.to)]
    if (ends[0] === null || ends[1] === null) out.lostLimits.push(one)
    else out.limits.push({ ...one, from: Math.min(ends[0]!, ends[1]!), to: Math.max(ends[0]!, ends[1]!) })
  }
  return out
}
