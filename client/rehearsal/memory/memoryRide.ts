import type { AnswerSent, RideCall, RideView } from '../../../server/api/learnWire.ts'
import type { PlanDocument } from '../../../server/api/wire.ts'
import type { Seconds, StageTime } from '../../../server/units.ts'
import { AnswerQueue } from './answerQueue.ts'
import type { Given, Grade, RideDoors, Way } from './rideDoors.ts'

/** Choices are asked for again when one of so many calls ahead has none. */
const FEW_LEFT = 8
/** The car waits for an answer half as long again as one that is in time may take. */
const PATIENCE = 1.5
/** A jump that saves less is not worth the break. */
const WORTH: Seconds = 0.4
/** A page that slept did not practise meanwhile. */
const LONGEST_TICK: Seconds = 1

/**
 * A ride from memory. `tick` is called with every picture: it asks for the call due from the moment the one before was heard, holds the car before it while it
 * is typed or chosen, leaves out empty road once the day's full ride is done, and writes each answer when the next call is said at the latest.
 */
export class MemoryRide {
  way: Way = 'judge'
  view: RideView | null = null
  /** Position of the last call said; −1 before the first. */
  said = -1
  note = ''
  /** Empty road is left out: by plan when null. */
  cut: boolean | null = null
  given: Given | null = null
  /** Of a checked call: known by their own word, before it is chosen; null until they say. */
  claimed: boolean | null = null
  private plan: PlanDocument
  private readonly doors: RideDoors
  /** A microphone listens: silence is then an answer. */
  hears = false
  /** Heard before they were due. */
  private readonly early = new Map<number, Grade | null>()
  /** Positions written since the last call began. */
  private readonly written = new Set<number>()
  private askedAt: Seconds | null = null
  private gate: StageTime | null = null
  private ended = false
  /** Seconds ridden or waited since the last answer was written. */
  private spent: Seconds = 0
  private ticked: Seconds
  private fullLeft: Seconds = 0
  private readonly answers: AnswerQueue
  private asking = false
  private changes = 0
  private readonly listeners = new Set<() => void>()

  constructor(plan: PlanDocument, doors: RideDoors) {
    this.plan = plan
    this.doors = doors
    this.ticked = doors.now()
    this.answers = new AnswerQueue(doors, (words) => {
      this.note = words
      this.announce()
    })
  }

  subscribe = (listener: () => void) => {
    this.listeners.add(listener)
    return () => void this.listeners.delete(listener)
  }
  version = () => this.changes
  private announce(): void {
    this.changes++
    for (const listener of this.listeners) listener()
  }

  /** What is known of each call; where the ride begins, as a position in the plan. */
  async open(): Promise<number> {
    this.view = await this.doors.ride(undefined, this.plan)
    this.fullLeft = this.view.fullLeft
    const { heard, position, calls } = this.view
    const begin = calls.some((one) => one.call >= heard) ? heard : position
    this.announce()
    return Math.max(
      0,
      calls.findIndex((one) => one.call >= begin),
    )
  }

  /** Another target under way: times and jumps are those of the new plan. */
  change(plan: PlanDocument): void {
    if (plan === this.plan) return
    this.plan = plan
    void this.again()
  }

  setWay(way: Way): void {
    this.way = way
    this.claimed = null
    this.announce()
  }
  setCut(cut: boolean): void {
    this.cut = cut
    this.announce()
  }

  /** The call to be given next; null after the last. */
  due(): RideCall | null {
    return this.view?.calls[this.said + 1] ?? null
  }
  /** Heard for the first time on this ride: shown, not asked. */
  isNew(call: RideCall | null): boolean {
    return call !== null && this.view !== null && call.call >= this.view.heard
  }
  /** How the call due is asked: a checked one is chosen even where the crew judges itself. */
  asked(): Way | 'check' {
    const due = this.due()
    return this.way === 'judge' && due?.check && due.choices.length > 1 && !this.isNew(due) ? 'check' : this.way
  }
  answered(): boolean {
    return this.given !== null && this.given.position === this.said + 1
  }
  /** The car holds before a call that is typed or chosen. */
  private holds(): boolean {
    const due = this.due()
    const way = this.asked()
    if (due === null || this.isNew(due) || this.answered() || this.doors.player.loop()) return false
    return way === 'type' || ((way === 'choose' || way === 'check') && due.choices.length > 1)
  }
  isCut(): boolean {
    return this.cut ?? this.fullLeft <= 0
  }

  tick(): void {
    const { player, now } = this.doors
    const { calls } = this.plan
    const passed = Math.min(LONGEST_TICK, now() - this.ticked)
    this.ticked = now()
    const status = player.status()
    if (this.view === null || status === 'ready') return
    if (status === 'riding' || player.waiting()) {
      this.ended = false
      this.spent += passed
      if (!this.isCut()) this.fullLeft -= passed
      player.wake()
    }
    const t = player.stageHeard()
    let said = -1
    // What begins at the gate waits there unsaid.
    for (let i = 0; i < calls.length && calls[i]!.start <= t && !(calls[i]!.start >= (this.gate ?? Infinity)); i++)
      said = i
    if (said !== this.said) this.move(said)
    const last = calls[this.said]
    if (this.askedAt === null && (last === undefined || t >= last.end)) this.askedAt = now()
    this.hold(calls[this.said + 1]?.start ?? null)
    if (status === 'finished' && !this.ended) {
      this.ended = true
      this.leave(this.said)
    }
    const jump = this.view.calls[this.said]?.jump
    if (player.status() !== 'riding' || player.loop() || !this.isCut() || !jump) return
    if (t < jump.from || jump.to - t < WORTH) return
    player.jumpToTime(jump.to)
    this.askedAt = now()
  }

  /** Holds the car before the call due while it is typed or chosen, and no longer than PATIENCE. */
  private hold(start: StageTime | null): void {
    const { player, now } = this.doors
    const due = this.due()
    if (start === null || due === null || !this.holds()) this.gateTo(null)
    else if (!player.waiting()) this.gateTo(start)
    else if (this.askedAt !== null) {
      const limit = due.limits[this.asked() === 'type' ? 'typed' : 'chosen']
      if (now() - this.askedAt > PATIENCE * limit) this.give('')
    }
  }
  private gateTo(t: StageTime | null): void {
    if (t === this.gate) return
    this.gate = t
    this.doors.player.gateAt(t)
  }

  /** Typed or chosen before the voice says it; an empty text is silence. */
  give(text: string): void {
    const way = this.asked()
    const due = this.due()
    if (due === null || this.answered() || (way === 'check' && this.claimed === null && text !== '')) return
    this.flush()
    const took = this.askedAt === null ? 0 : this.doors.now() - this.askedAt
    const claimed = way === 'check' && this.claimed !== null ? { claimed: this.claimed } : {}
    this.given = { position: this.said + 1, how: way === 'type' ? 'typed' : 'chosen', text, took, ...claimed }
    this.claimed = null
    const { position: _, ...waiting } = this.given
    this.answers.wait({ ...waiting, call: due.call, seconds: Math.min(600, this.spent) })
    this.gateTo(null)
    this.announce()
  }

  claim(known: boolean): void {
    this.claimed = known
    this.announce()
  }

  /** The crew's own judgement of the call said last; it stands over what the microphone heard. */
  judge(grade: Grade): void {
    if (this.said < 0 || this.isNew(this.view?.calls[this.said] ?? null)) return
    if (this.given && this.given.position !== this.said) return
    if (this.given && (this.given.how === 'typed' || this.given.how === 'chosen')) return
    this.given = { position: this.said, how: 'self', grade }
    this.note = `Kept: ${grade}.`
    this.flush()
    this.announce()
  }

  /** Of an answer that was typed or chosen, once the voice has said the call. */
  rate(hard: boolean): void {
    if (!this.given || this.given.position !== this.said) return
    this.given.hard = hard
    this.flush()
  }

  /** By the microphone: `grade` null where it was heard but not, or not yet, for certain. */
  heard(position: number, grade: Grade | null): void {
    if (this.way !== 'say' || position < this.said) return
    // A run said in one breath is ahead of the voice by more than a call.
    if (position > this.said + 1) return void this.early.set(position, grade)
    if (this.given && this.given.position < position) this.flush()
    const told = this.given?.position === position && this.given.how === 'voice'
    if (!told && (this.given || this.written.has(position) || this.isNew(this.view?.calls[position] ?? null))) return
    this.given = { position, how: 'voice', grade }
    this.announce()
  }

  /** Writes what was given; returns when it is on the server's disk. */
  flush(): Promise<void> {
    const given = this.given
    const call = given && this.view?.calls[given.position]
    if (given && call) {
      this.given = null
      const { position: _, ...answer } = given
      this.write({ ...answer, call: call.call })
    }
    return this.answers.settled()
  }

  private move(said: number): void {
    const before = this.said
    const rode = said === before + 1
    // A jump is no ride: only the call just before counts as met.
    if (rode && before >= 0) this.leave(before)
    else if (this.given && this.given.position !== said) this.flush()
    this.said = said
    this.askedAt = null
    this.claimed = null
    const early = this.early.get(said + 1)
    if (!rode) this.early.clear()
    else if (early !== undefined) this.heard(said + 1, early)
    const soon = this.view!.calls.slice(said + 1, said + 1 + FEW_LEFT)
    if (soon.some((one) => one.choices.length === 0)) void this.again()
    this.announce()
  }

  /** The next call is being said: what nobody judged of the last one counts as met, or as not known where the microphone listened. */
  private leave(position: number): void {
    const call = this.view!.calls[position]
    if (!call) return
    if (this.given?.position === position) this.flush()
    else if (!this.written.has(position)) {
      if (this.isNew(call)) {
        this.write({ how: 'listen', call: call.call })
        this.view = { ...this.view!, heard: Math.max(this.view!.heard, call.call + 1) }
      } else {
        const spoken = this.way === 'say' && this.hears
        this.write({ how: spoken ? 'voice' : 'self', grade: spoken ? 'no' : null, call: call.call })
      }
    }
    this.written.clear()
  }
  private write(answer: Omit<AnswerSent, 'id' | 'seconds'>): void {
    this.written.add(this.view!.calls.findIndex((one) => one.call === answer.call))
    const [seconds, pace] = [Math.min(600, this.spent), this.isCut() ? ('condensed' as const) : ('full' as const)]
    this.spent = 0
    this.answers.add({ ...answer, seconds, pace })
  }

  private async again(): Promise<void> {
    if (this.asking) return
    this.asking = true
    try {
      const heard = this.view?.heard ?? 0
      const view = await this.doors.ride(this.view?.calls[this.said + 1]?.call, this.plan)
      this.view = { ...view, heard: Math.max(heard, view.heard) }
      this.announce()
    } catch (error) {
      this.note = (error as Error).message
      this.announce()
    } finally {
      this.asking = false
    }
  }
}
