import { createHash } from 'node:crypto'
import { existsSync, mkdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { writeWhole } from '../library/writeWhole.ts'
import { type ClubPlan, lookUp, type PlanShelf, type PlanWish } from '../sessions/clubPlan.ts'
import type { Seconds, StageTime } from '../units.ts'
import type { StageDesk } from './stageDesk.ts'
import type { ClubPlanDocument, PlanDocument } from './wire.ts'

const COUNT_IN: Seconds = 3
/** After the last word: the car is still on its way to the place it was for. */
const RUN_OUT: Seconds = 1
const ROAD_STEP = 2
const IN_MEMORY = 16

/**
 * Plans of the club: made by the desk, named by their content, and kept in a folder, so that phones and a host that was killed find the very plan that was being
 * heard, whatever has become of the notes since.
 */
export class ClubShelf implements PlanShelf {
  private readonly plans = new Map<string, ClubPlan>()
  private readonly desk: StageDesk
  private readonly folder: string

  constructor(desk: StageDesk, folder: string) {
    this.desk = desk
    this.folder = folder
  }

  async prepare(stage: string, wish: PlanWish, onProgress: (done: number, total: number) => void): Promise<ClubPlan> {
    const plan = await this.desk.prepareSpeech(
      stage,
      {
        ...(wish.average === undefined ? {} : { target: { kind: 'average', speed: wish.average } as const }),
        ...(wish.wording === undefined ? {} : { wording: wish.wording }),
        ...(wish.from === undefined ? {} : { from: wish.from }),
        ...(wish.to === undefined ? {} : { to: wish.to }),
      },
      onProgress,
    )
    const units = this.desk.settings(this.desk.library.read(stage)).units
    const content: ClubPlanDocument = { stage, wish, units, plan, road: this.desk.road(stage, ROAD_STEP) }
    const text = JSON.stringify(content)
    const id = createHash('sha256').update(text).digest('hex').slice(0, 24)
    const path = this.path(id)
    if (!existsSync(path)) {
      mkdirSync(this.folder, { recursive: true })
      writeWhole(path, text)
    }
    return this.remember(clubPlan(id, content))
  }

  get(id: string): ClubPlan | null {
    const known = this.plans.get(id)
    if (known) return known
    const text = this.text(id)
    return text === null ? null : this.remember(clubPlan(id, JSON.parse(text) as ClubPlanDocument))
  }

  /** The plan and its road as pages get them; null when there is none of this name. */
  text(id: string): string | null {
    return /^[a-f0-9]{24}$/.test(id) && existsSync(this.path(id)) ? readFileSync(this.path(id), 'utf8') : null
  }

  private path(id: string): string {
    return join(this.folder, `${id}.json`)
  }

  private remember(plan: ClubPlan): ClubPlan {
    if (this.plans.size >= IN_MEMORY) this.plans.delete(this.plans.keys().next().value!)
    this.plans.set(plan.id, plan)
    return plan
  }
}

function clubPlan(id: string, { stage, wish, plan }: ClubPlanDocument): ClubPlan {
  const { begins, ends } = ridden(plan, wish)
  return {
    id,
    title: plan.stage,
    stage,
    request: wish,
    begins,
    ends,
    calls: plan.calls.map(({ index, start, end, earliest, latest, say }) => ({
      index,
      start,
      end,
      earliest,
      latest,
      say,
    })),
    profile: { station: plan.profile!.station, time: plan.profile!.time },
  }
}

/** The stretch of the stage clock that a run takes: from a count before its part of the road, or its first call, to the end of both. */
function ridden(plan: PlanDocument, { from, to }: PlanWish): { begins: StageTime; ends: StageTime } {
  const { station, time } = plan.profile!
  const line = from === undefined ? 0 : lookUp(station, time, from)
  const finish = to === undefined ? time.at(-1)! : lookUp(station, time, to)
  const [first, last] = [plan.calls[0], plan.calls.at(-1)]
  return {
    begins: Math.min(line - COUNT_IN, (first?.start ?? line) - RUN_OUT / 2) as StageTime,
    ends: (Math.max(finish, last?.end ?? finish) + RUN_OUT) as StageTime,
  }
}
