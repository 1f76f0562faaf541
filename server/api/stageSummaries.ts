import type { StageEntry } from '../library/stageLibrary.ts'
import { callViews } from '../placement/callView.ts'
import type { StageDesk } from './stageDesk.ts'
import { type StageSummary, settingsSchema } from './wire.ts'

interface Brief {
  readonly length: number
  readonly calls: number
}

/** Stages as the list shows them. Length and calls are kept for every stage: a library holds more of them than the desk keeps prepared. */
export class StageSummaries {
  private readonly briefs = new Map<string, Brief & { readonly key: string }>()
  private readonly desk: StageDesk

  constructor(desk: StageDesk) {
    this.desk = desk
  }

  /** Never rejects for what is wrong with a stage: that is in its `problem`. */
  async of(entry: StageEntry): Promise<StageSummary> {
    const settings = settingsSchema.safeParse(entry.settings)
    const known = settings.success ? settings.data : settingsSchema.parse({})
    let brief: Brief | null = null
    let problem = entry.problem
    try {
      brief = await this.brief(entry.id)
    } catch (error) {
      problem ??= ['StageProblem', 'RouteFileError'].includes((error as Error).name)
        ? (error as Error).message
        : 'This stage could not be opened.'
    }
    return {
      id: entry.id,
      title: entry.title,
      length: brief?.length ?? null,
      calls: brief?.calls ?? 0,
      hasRoute: entry.hasRoute,
      surface: known.surface,
      target: known.target,
      units: known.units,
      updatedAt: entry.updatedAt,
      problem,
    }
  }

  private async brief(id: string): Promise<Brief> {
    const key = this.desk.keyOf(this.desk.library.read(id))
    const known = this.briefs.get(id)
    if (known?.key === key) return known
    await this.desk.ready(id)
    const { route, notes } = this.desk.prepare(id)
    const brief = { key, length: route.length, calls: callViews(notes).length }
    this.briefs.set(id, brief)
    return brief
  }
}
