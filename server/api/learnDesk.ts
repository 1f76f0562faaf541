import { createHash } from 'node:crypto'
import { type CallMark, callMarks } from '../drill/callMark.ts'
import { nextItem } from '../drill/desk.ts'
import type { ItemKind, Memory, RideCosts } from '../drill/drill.ts'
import { chanceAt } from '../drill/forecast.ts'
import { fitHead, type Head } from '../drill/forecastHead.ts'
import { gapsOf } from '../drill/gaps.ts'
import { type Item, itemId, itemsOf } from '../drill/items.ts'
import { afterReview, featuresAt } from '../drill/memory.ts'
import { isZone, practiceDay } from '../drill/practiceDay.ts'
import { type Question, questionOf } from '../drill/question.ts'
import type { LearnStore, ReviewEntry, StoredCall, StoredItem, StoredRide } from '../library/learnStore.ts'
import { LibraryError } from '../library/stageLibrary.ts'
import type { PreparedStage } from '../rehearsal/stage.ts'
import type { EpochTime } from '../units.ts'
import { followCalls } from './followCalls.ts'
import { judgeAnswer } from './judgeAnswer.ts'
import { costsOf, momentsOf } from './learnCosts.ts'
import type { AnswersTaken, EventView, Graded } from './learnWire.ts'
import { answersSchema, eventSchema } from './learnWire.ts'
import type { StageDesk } from './stageDesk.ts'
import type { PlanDocument, PlanRequest } from './wire.ts'

const EVIDENCE = 4000
/** A night's rest and half a morning: what "known" means while no event is set. */
export const TOMORROW = 14 * 3600
const DEFAULT_ZONE = 'UTC'
export const BRISK: PlanRequest = { target: { kind: 'commitment', commitment: 0.9 } }

/** A stage as it is learnt: its calls by name, its items, and how well each is known. */
export interface Learning {
  readonly stage: PreparedStage
  readonly plan: PlanDocument
  readonly marks: readonly CallMark[]
  readonly calls: readonly StoredCall[]
  readonly items: readonly Item[]
  readonly moments: readonly number[]
  readonly costs: RideCosts
  readonly stored: Map<string, StoredItem>
}

/** Learning over the library: who is which call after an edit, answers judged and written, what is asked next. */
export class LearnDesk {
  readonly store: LearnStore
  readonly desk: StageDesk
  readonly now: () => EpochTime
  private readonly opened = new Map<string, { key: string; learning: Learning }>()
  private readonly evidence: ReturnType<LearnStore['evidence']>
  private heads: { changes: number; recall: Head; inTime: Head } | null = null
  /** How often the evidence changed since this desk was opened. */
  private changes = 0

  constructor(desk: StageDesk, store: LearnStore, now: () => EpochTime) {
    this.desk = desk
    this.store = store
    this.now = now
    this.evidence = store.evidence(EVIDENCE)
  }

  /** Evidence of one stage, oldest first. */
  evidenceOf(stage: string) {
    return this.evidence.filter((one) => one.stage === stage)
  }

  /** Weights fitted to all answers so far; kept until there are more. */
  fitted(): { recall: Head; inTime: Head } {
    if (this.heads?.changes !== this.changes)
      this.heads = {
        changes: this.changes,
        recall: fitHead(this.evidence, 'recall', this.heads?.recall),
        inTime: fitHead(this.evidence, 'in time', this.heads?.inTime),
      }
    return this.heads!
  }

  eventOf(stage: string): EventView | null {
    return this.events().find((one) => one.stages.some((place) => place.stage === stage)) ?? null
  }

  events(): EventView[] {
    return this.store.events().flatMap(({ id, content }) => {
      const parsed = eventSchema.safeParse(content)
      return parsed.success ? [{ id, ...parsed.data }] : []
    })
  }

  /** Opens a stage; edited notes are laid against what was known, once. */
  async open(stage: string): Promise<Learning> {
    const prepared = this.desk.prepare(stage)
    const run = this.desk.run(stage, {})
    const key = createHash('sha256')
      .update(JSON.stringify([prepared.notes.text, prepared.placement.evidence, run]))
      .digest('hex')
    const known = this.opened.get(stage)
    if (known?.key === key) return known.learning
    const plan = await this.planOf(stage)
    const marks = callMarks(prepared.notes)
    const calls = followCalls(this.store, stage, marks, { now: this.now(), zone: this.zone(stage) })
    const moments = momentsOf(prepared, plan)
    const learning: Learning = {
      stage: prepared,
      plan,
      marks,
      calls,
      items: itemsOf(
        prepared.notes,
        calls.map((one) => one.id),
        moments,
      ),
      moments,
      costs: costsOf(plan, marks.length),
      stored: this.store.items(stage),
    }
    this.opened.set(stage, { key, learning })
    return learning
  }

  /** Whether there is nothing to learn yet: neither notes nor a road. */
  isEmpty(stage: string): boolean {
    return this.desk.library.read(stage).notes.trim() === ''
  }

  /** Learning does not wait for a target that no car can reach: then the ride is that of a brisk car. */
  async planOf(stage: string, asked: PlanRequest = {}): Promise<PlanDocument> {
    try {
      return await this.desk.plan(stage, asked)
    } catch (error) {
      if ((error as Error).name !== 'UnreachableTarget') throw error
      return this.desk.plan(stage, BRISK)
    }
  }

  ride(stage: string, day: string): StoredRide {
    const ride = this.store.ride(stage) ?? { heard: 0, position: 0, fullToday: 0, day }
    return ride.day === day ? ride : { ...ride, fullToday: 0, day }
  }

  async next(stage: string, kind: ItemKind, zone?: string): Promise<Question | null> {
    if (this.isEmpty(stage)) return null
    const learning = await this.open(stage)
    const ride = this.ride(stage, practiceDay(this.now(), this.zone(stage, zone)))
    const standing = (id: string) => {
      const one = learning.stored.get(id)
      return one ? { changed: one.changed, met: one.memory.met } : null
    }
    const item = nextItem(learning.items, kind, standing, ride)
    if (item === null) return null
    const memory = learning.stored.get(item.id)?.memory
    return questionOf({
      item,
      notes: learning.stage.notes,
      marks: learning.marks,
      moments: learning.moments,
      gap: this.gaps(learning)[item.call]!,
      met: memory ? memory.successes + memory.others : 0,
      turn: this.turn(),
    })
  }

  /** Graded answers so far, for what is done every so many: one more with each. */
  turn(): number {
    return this.evidence.length
  }

  /** Gap of each call by the chance that it is known tomorrow: minutes after an answer everything is. */
  gaps(learning: Learning) {
    const { recall } = this.fitted()
    const at = this.now() + TOMORROW
    return gapsOf(learning.calls.map((call) => chanceAt(memoryOf(learning, call.id), at, recall)))
  }

  /** Judges answers, writes them, and only then says what comes next. */
  async take(stage: string, body: unknown): Promise<AnswersTaken> {
    const { answers, zone, kind } = answersSchema.parse(body)
    const learning = await this.open(stage)
    const now = this.now()
    const day = practiceDay(now, this.zone(stage, zone))
    let ride = this.ride(stage, day)
    const entries: ReviewEntry[] = []
    const changed = new Map<string, StoredItem>()
    const graded: Graded[] = []
    for (const answer of answers) {
      const item = learning.items.find((one) => one.kind === answer.kind && one.call === answer.call)
      if (!item)
        throw new LibraryError(
          `There is no call ${answer.call + 1} to ask so in this stage; its notes were edited meanwhile. Reload the page.`,
          409,
        )
      const { grade, text } = judgeAnswer(learning, item, answer, (typed) => this.desk.parse(stage, typed, false).notes)
      const before = changed.get(item.id)?.memory ?? learning.stored.get(item.id)?.memory ?? null
      const setBack = before !== null && now < before.met - 1
      graded.push({ call: item.call, grade, answer: text, setBack })
      if (this.store.has(answer.id)) continue
      const review = { at: now, how: answer.how, grade }
      const memory = afterReview(before, review)!
      entries.push({
        ...review,
        id: answer.id,
        item: item.id,
        stage,
        device: this.store.device,
        turn: this.store.nextTurn(),
        seconds: answer.seconds,
        said: answer.text ?? '',
        day,
        setBack,
        claimed: answer.claimed ?? null,
        features: before === null || grade === null ? null : featuresAt(before, now),
      })
      changed.set(item.id, { memory, changed: false })
      if (item.kind === 'say') {
        const n = learning.calls.length
        ride = {
          heard: item.call === ride.heard ? item.call + 1 : ride.heard,
          position: answer.how === 'listen' ? ride.position : (item.call + 1) % n,
          fullToday: ride.fullToday + (answer.pace === 'full' ? answer.seconds : 0),
          day,
        }
      }
    }
    this.store.write(stage, { entries, items: [...changed].map(([id, one]) => ({ id, ...one })), ride })
    for (const [id, one] of changed) learning.stored.set(id, one)
    for (const one of entries) this.learnFrom(one)
    return { graded, next: await this.next(stage, kind, zone) }
  }

  /** A call whose fate was left open becomes the one it was (or a new one for good). */
  async settle(stage: string, call: number, from: string | null): Promise<void> {
    const { calls } = await this.open(stage)
    const own = calls[call]
    if (!own || (from !== null && !own.offered.includes(from)))
      throw new LibraryError(`Call ${call + 1} was not one of these; reload the page.`, 409)
    const settled = { ...own, offered: [] }
    const taken =
      from === null
        ? [settled]
        : [
            { ...settled, id: from },
            { ...own, position: null, offered: [] },
          ]
    this.store.write(stage, { entries: [], items: [], calls: taken })
    this.opened.delete(stage)
  }

  /** What was written past this desk is read anew. */
  forget(stage: string): void {
    this.opened.delete(stage)
    this.evidence.splice(0, this.evidence.length, ...this.store.evidence(EVIDENCE))
    this.changes++
  }

  /** A browser may name a zone that this machine does not know: then days turn as in DEFAULT_ZONE. */
  zone(stage: string, asked?: string): string {
    return this.eventOf(stage)?.zone ?? (asked !== undefined && isZone(asked) ? asked : DEFAULT_ZONE)
  }

  private learnFrom(one: ReviewEntry): void {
    if (one.features === null || one.grade === null) return
    this.changes++
    this.evidence.push({
      stage: one.stage,
      day: one.day,
      how: one.how,
      recalled: one.grade !== 'no',
      inTime: one.grade === 'in time',
      features: one.features,
    })
    if (this.evidence.length > 2 * EVIDENCE) this.evidence.splice(0, this.evidence.length - EVIDENCE)
  }
}

export const memoryOf = (learning: Learning, call: string): Memory | null =>
  learning.stored.get(itemId(call, 'say'))?.memory ?? null
