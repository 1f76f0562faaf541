import { createHash } from 'node:crypto'
import { TIGHT } from '../calls/defaults.ts'
import { explainCalls } from '../calls/explain.ts'
import { waysOut } from '../calls/waysOut.ts'
import type { StageFolder, StageLibrary } from '../library/stageLibrary.ts'
import type { NoteSettings, ParsedNotes } from '../notes/notes.ts'
import { parseNotes } from '../notes/parseNotes.ts'
import { type AuditOptions, auditNotes } from '../placement/auditNotes.ts'
import { draftNotes } from '../placement/draftNotes.ts'
import { ceilingOf, fitRun, fitsUpTo, sweepRun } from '../rehearsal/fitRun.ts'
import { planDocument } from '../rehearsal/planDocument.ts'
import { cellsOf, solveRun } from '../rehearsal/planRun.ts'
import { noteSettings, prepareStage, StageProblem } from '../rehearsal/prepareStage.ts'
import { roadSays } from '../rehearsal/roadGaps.ts'
import type { PreparedStage, Rehearsal, RunSettings, SaidCall, StageToRehearse } from '../rehearsal/stage.ts'
import { type ClipSource, estimateRun, sayAll, voiceRun, WORDINGS } from '../rehearsal/voiceRun.ts'
import type { SpokenClip } from '../speech/speechEngine.ts'
import { findCar } from '../speed/cars.ts'
import { limitedCells, type SpeedLimit } from '../speed/limitedCells.ts'
import { solveProfile } from '../speed/solveProfile.ts'
import { findSurface } from '../speed/surfaces.ts'
import { CaptionDesk } from './captionDesk.ts'
import { crewWordsOf } from './crewWords.ts'
import { dropUndefined } from './dropUndefined.ts'
import { RoadShelf } from './roadShelf.ts'
import { roadTable } from './roadTable.ts'
import { runOf } from './runOf.ts'
import {
  type DraftView,
  type FitDocument,
  type PlacementView,
  type PlanDocument,
  type PlanRequest,
  type RoadTable,
  type StageSettings,
  settingsSchema,
  type WayOutView,
} from './wire.ts'

const KEPT = 12
/** Nodes of the profile sent to pages: every fifth metre. */
const PROFILE_STEP = 5
const SWEEP_POINTS = 15
/** Said a second apart before a start, the last on the line. */
const COUNT_IN = ['three', 'two', 'one', 'go']

export interface Clips extends ClipSource {
  /** What else decides how a voice sounds. */
  identity?(voice: string): readonly string[]
  get(hash: string): Promise<SpokenClip | null>
}

/** Stages opened from the library and rehearsed: roads and placements are kept while their files stay the same, so that a new speed costs milliseconds. */
export class StageDesk {
  readonly roads = new RoadShelf()
  /** What each stage's road says of its notes: it settles what the text leaves open. */
  private readonly told = new Map<string, { key: string; says: NoteSettings }>()
  private readonly prepared = new Map<string, PreparedStage>()
  private readonly said = new Map<string, SaidCall[]>()
  readonly captions: CaptionDesk
  readonly library: StageLibrary
  readonly clips: Clips

  constructor(library: StageLibrary, clips: Clips) {
    this.library = library
    this.captions = new CaptionDesk(library)
    this.clips = clips
  }

  settings(folder: StageFolder): StageSettings {
    const parsed = settingsSchema.safeParse(folder.settings)
    return parsed.success ? parsed.data : settingsSchema.parse({})
  }

  /** Notes as they stand in an editor; never throws. */
  parse(id: string, text: string, repair: boolean): ParsedNotes {
    const settings = noteSettings(this.toRehearse(this.library.read(id)).settings)
    return this.captions.timed(id, parseNotes(text, { ...settings, ...this.told.get(id)?.says, repair }))
  }

  /** Builds a stage's road apart where it is long, so that what is asked of the stage next finds it there. Rejects with RouteFileError. */
  async ready(id: string): Promise<void> {
    const folder = this.library.read(id)
    await this.roads.ready(folder, this.settings(folder).lines)
  }

  prepare(id: string): PreparedStage {
    const folder = this.library.read(id)
    const stage = this.toRehearse(folder)
    const key = this.keyOf(folder, stage)
    let prepared = this.prepared.get(key)
    if (!prepared) {
      prepared = prepareStage(stage, { route: this.roads.edited(folder, stage.settings) })
      remember(this.prepared, key, prepared)
    }
    if (this.told.get(id)?.key !== key) remember(this.told, id, { key, says: roadSays(prepared) })
    return prepared
  }

  /** Changes with everything that a prepared stage is made of. */
  keyOf(folder: StageFolder, stage: StageToRehearse = this.toRehearse(folder)): string {
    const road = this.roads.key(folder, stage.settings.lines)
    return hash(JSON.stringify([folder.id, road, stage.notes, stage.anchors, stage.settings]))
  }

  private toRehearse(folder: StageFolder): StageToRehearse {
    const settings = this.settings(folder)
    return {
      title: folder.title,
      notes: folder.notes,
      route: folder.route,
      moreRoutes: folder.moreRoutes,
      anchors: folder.anchors,
      settings: {
        gradeSystem: dropUndefined(settings.gradeSystem),
        dictated: settings.dictated ?? undefined,
        distances: settings.distances ?? undefined,
        crewWords: settings.crewWords && crewWordsOf(settings.crewWords),
        length: settings.length,
        stretch: settings.stretch,
        reversed: settings.reversed,
        lines: settings.lines,
      },
    }
  }

  run(id: string, request: PlanRequest): RunSettings {
    return runOf(this.settings(this.library.read(id)), request)
  }

  /** A plan at once: on measured clips where they are all there already, else on estimated lengths. */
  async plan(id: string, request: PlanRequest): Promise<PlanDocument> {
    const stage = this.prepare(id)
    const run = this.run(id, request)
    const ready = this.saidBefore(stage, run)
    const rehearsal = ready ? await this.voiced(stage, run) : estimateRun(stage, run)
    return this.document(id, rehearsal, request)
  }

  /** The stage's own run on estimated lengths: what is said, before any voice says it. */
  estimate(id: string): Rehearsal {
    return estimateRun(this.prepare(id), this.run(id, {}))
  }

  /** A run on the voice that will be heard, every clip made, for what is written from it. */
  async rehearse(
    id: string,
    request: PlanRequest,
    onProgress?: (done: number, total: number) => void,
  ): Promise<Rehearsal> {
    return this.voiced(this.prepare(id), this.run(id, request), onProgress)
  }

  /** A plan on the voice that will be heard, every clip made. */
  async prepareSpeech(
    id: string,
    request: PlanRequest,
    onProgress: (done: number, total: number) => void,
  ): Promise<PlanDocument> {
    const stage = this.prepare(id)
    const run = this.run(id, request)
    const rehearsal = await this.voiced(stage, run, onProgress)
    const { voice, rate, pitch } = run
    const count = await this.clips.speakAll(COUNT_IN.map((word) => ({ words: [word], voice, rate, pitch })))
    return { ...this.document(id, rehearsal, request), countIn: count.map(({ hash }) => hash) }
  }

  async fit(id: string, request: PlanRequest): Promise<FitDocument> {
    const stage = this.prepare(id)
    const run = this.run(id, request)
    const profile = solveRun(stage, run)
    const options: SaidCall[][] = []
    for (const wording of WORDINGS) options.push(await this.sayIn(stage, run, wording))
    const fit = fitRun(stage, run, profile, options)
    const fastest = solveProfile({
      cells: cellsOf(stage, run),
      car: findCar(run.car),
      surface: findSurface(run.surface),
      commitment: 1,
    }).averageSpeed
    const averages = Array.from({ length: SWEEP_POINTS }, (_, i) => fastest * (0.55 + (0.449 * i) / (SWEEP_POINTS - 1)))
    const sweep = WORDINGS.map((wording, m) => ({
      wording,
      points: sweepRun(stage, run, options[m]!, averages).map(({ averageSpeed, lateSeconds, crunches }) => ({
        averageSpeed,
        lateSeconds,
        crunches,
      })),
    }))
    return { wordings: fit.wordings, sweep }
  }

  /** Every `step`-th station, or fewer, so that there are no more than `most`. */
  road(id: string, step: number, most = Number.POSITIVE_INFINITY): RoadTable {
    const { route } = this.prepare(id)
    return roadTable(route, Math.max(step, Math.ceil(route.x.length / most)))
  }

  placement(id: string): PlacementView {
    const { notes, route, placement } = this.prepare(id)
    return {
      placement,
      findings: auditNotes(notes, route, placement, this.cautions(id)),
      texts: notes.calls.map((call) => call.text),
    }
  }

  /** How the stage is driven at its own target, where the crew wants absent cautions told. */
  private cautions(id: string): AuditOptions {
    const { cautionShare } = this.settings(this.library.read(id))
    if (!cautionShare) return {}
    return { caution: { driven: solveRun(this.prepare(id), this.run(id, {})), share: cautionShare } }
  }

  /** Notes drawn up from the road alone, in the crew's own grade system. Throws StageProblem where there is no measured road. */
  draft(id: string): DraftView {
    const { title, notes, route, placement } = this.prepare(id)
    if (route.source === 'notes')
      throw new StageProblem(`"${title}" has no road file to draft notes from: add the log or line of the road first.`)
    const { distances } = this.settings(this.library.read(id))
    return draftNotes(route, { system: notes.system, scale: placement.gradeScale, ...(distances ? { distances } : {}) })
  }

  private voiceKey(stage: PreparedStage, run: RunSettings, wording: string): string {
    return hash(
      JSON.stringify([
        stage.notes.text,
        wording,
        run.voice,
        run.rate,
        run.pitch,
        run.pins,
        run.leftOut,
        run.sayAs,
        this.clips.identity?.(run.voice),
        run.pace,
        stage.notes.system,
      ]),
    )
  }

  private saidBefore(stage: PreparedStage, run: RunSettings): boolean {
    const wordings = run.wording === 'automatic' ? WORDINGS : [run.wording]
    return wordings.every((wording) => this.said.has(this.voiceKey(stage, run, wording)))
  }

  private async sayIn(
    stage: PreparedStage,
    run: RunSettings,
    wording: (typeof WORDINGS)[number],
    onProgress?: (done: number, total: number) => void,
  ): Promise<SaidCall[]> {
    const key = this.voiceKey(stage, run, wording)
    const known = this.said.get(key)
    if (known) return known
    const said = await sayAll(stage, wording, run, this.clips, onProgress)
    remember(this.said, key, said)
    return said
  }

  private async voiced(
    stage: PreparedStage,
    run: RunSettings,
    onProgress?: (done: number, total: number) => void,
  ): Promise<Rehearsal> {
    return voiceRun(stage, run, this.clips, onProgress, (wording, progress) =>
      this.sayIn(stage, run, wording, progress),
    )
  }

  private document(id: string, rehearsal: Rehearsal, request: PlanRequest): PlanDocument {
    const bare = planDocument(rehearsal, PROFILE_STEP)
    if (!request.full) return bare
    const { stage, run, profile, plan, said } = rehearsal
    const units = this.settings(this.library.read(id)).units
    const input = {
      notes: stage.notes,
      placement: stage.placement,
      profile,
      calls: said.map((one) => one.call),
      durations: said,
      settings: run.calls,
    }
    const [cells, car, surface] = [cellsOf(stage, run), findCar(run.car), findSurface(run.surface)]
    const profileWith = (limit: SpeedLimit) =>
      solveProfile({ cells: limitedCells(cells, [limit]), car, surface, commitment: profile.commitment })
    const ways = plan.crunches.map((crunch): readonly WayOutView[] =>
      crunch.over > TIGHT ? waysOut(input, crunch, { units, keep: new Set(run.pins), profileWith }) : [],
    )
    const solved = ceilingOf(stage, run, fullSaid(stage, said), profile.commitment)
    return {
      ...bare,
      ceiling: solved === null ? bare.ceiling : solved.ceiling,
      fits: fitsUpTo(solved),
      explain: explainCalls(input, plan, units),
      ways,
    }
  }
}

/** Said calls by index, as ceilings ask for them. */
function fullSaid(stage: PreparedStage, said: readonly SaidCall[]): SaidCall[] {
  const by = new Map(said.map((one) => [one.call, one]))
  return stage.notes.calls.flatMap((call) => by.get(call.index) ?? [])
}

function remember<T>(map: Map<string, T>, key: string, value: T): void {
  if (map.size >= KEPT) map.delete(map.keys().next().value!)
  map.set(key, value)
}

const hash = (content: string | Uint8Array) => createHash('sha256').update(content).digest('hex')
