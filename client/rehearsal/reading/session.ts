import type { PlanDocument } from '../../../server/api/wire.ts'
import type { HeardWire, NewTake, TakeDetail } from '../../../server/api/wireTakes.ts'
import type { StageTime } from '../../../server/units.ts'
import { HEARD } from '../../microphone/confidence.ts'
import type { HearingNews, HearingOrder } from '../../microphone/hearing.worker.ts'
import type { WorkletReport } from '../../microphone/hearing.worklet.ts'
import { type Microphone, openMicrophone } from '../../microphone/microphone.ts'
import { SoundCheck, voiceLeaks } from '../../microphone/soundCheck.ts'
import type { Player } from '../../playback/player.ts'
import type { WebSoundCard } from '../../playback/soundCard.ts'
import { takeStart } from '../takeStart.ts'
import { heardWire } from './heardWire.ts'
import { ownReadings } from './ownTakes.ts'
import { callToRescue } from './rescue.ts'
import { aboutTake } from './ride.ts'
import { keepTake, type TakeKeeper } from './takeKeeper.ts'

export type SessionStatus = 'shut' | 'opening' | 'ready' | 'reading' | 'settling' | 'done'

export interface LiveVerdict {
  readonly index: number
  readonly verdict: 'early' | 'in window' | 'late' | 'not heard'
  /** start − preferred, seconds. */
  readonly off: number
}

const LEVEL_KEY = 'say-when.reader-level'

/** One read-through: microphone, worker that tells the calls, pieces on their way to the stage folder. Pages subscribe and read its fields. */
export class ReadingSession {
  status: SessionStatus = 'shut'
  problem: string | null = null
  caution: string | null = null
  level: WorkletReport | null = null
  last: LiveVerdict | null = null
  readonly verdicts = new Map<number, LiveVerdict>()
  result: TakeDetail | null = null
  roundTrip: number | null = null
  rescue = false
  voice = false
  microphone: Microphone | null = null

  private readonly card: WebSoundCard
  private readonly stage: string
  private plan: PlanDocument
  private clips: readonly (string | null)[]
  private readonly earlier: readonly TakeDetail[]
  private worker: Worker | null = null
  /** Plan positions of the worker's calls: those that have a clip. */
  private positions: number[] = []
  private ready: Promise<void> = Promise.resolve()
  private keeper: TakeKeeper | null = null
  private early: { at: number; samples: Int16Array }[] = []
  private about: NewTake | null = null
  private check = new SoundCheck()
  private rescued: number[] = []
  private speechBefore = 0
  private readonly listeners = new Set<() => void>()

  constructor(
    stage: string,
    card: WebSoundCard,
    plan: PlanDocument,
    clips: readonly (string | null)[],
    earlier: readonly TakeDetail[],
  ) {
    this.stage = stage
    this.card = card
    this.plan = plan
    this.clips = clips
    this.earlier = earlier
    this.listen()
  }

  subscribe = (listener: () => void) => {
    this.listeners.add(listener)
    return () => void this.listeners.delete(listener)
  }
  private changes = 0
  version = () => this.changes
  private announce(): void {
    this.changes++
    for (const listener of this.listeners) listener()
  }

  /** Opens a microphone and fetches the sound of every call. Problems are told in words through `problem`. */
  async open(deviceId: string | null): Promise<void> {
    this.status = 'opening'
    this.problem = null
    this.announce()
    try {
      await this.card.resume()
      this.microphone?.close()
      const microphone = await openMicrophone(this.card.context, deviceId)
      this.microphone = microphone
      this.caution = microphone.caution
      microphone.onLevel = (report) => {
        this.level = report
        if (this.status === 'reading') this.check.push(report)
        this.announce()
      }
      microphone.onGone = () => {
        this.problem = `"${microphone.device}" is gone: unplugged, or taken away. What was read until then is kept.`
        if (this.status === 'reading') this.stop()
        else this.status = 'shut'
        this.announce()
      }
      if (this.worker === null) this.listen()
      await this.ready
      this.status = 'ready'
    } catch (error) {
      this.problem = (error as Error).message
      this.status = 'shut'
    }
    this.announce()
  }

  private listen(): void {
    const worker = new Worker(new URL('../../microphone/hearing.worker.ts', import.meta.url), { type: 'module' })
    this.worker = worker
    this.positions = this.clips.flatMap((clip, i) => (clip === null ? [] : [i]))
    this.ready = new Promise<void>((resolve, reject) => {
      worker.onmessage = ({ data }: MessageEvent<HearingNews>) => {
        if (data.type === 'ready') resolve()
        else if (data.type === 'problem') reject(new Error(data.message))
        else this.hear(data)
      }
      worker.onerror = () => reject(new Error('The listener could not be started; reload the page.'))
    })
    this.ready.catch(() => {})
    worker.postMessage({
      type: 'script',
      clips: this.positions.map((i) => this.clips[i]!),
      says: this.positions.map((i) => this.plan.calls[i]!.say),
      own: this.earlier.map((take) => ({
        sound: `/api/stages/${this.stage}/takes/${take.id}/sound`,
        calls: ownReadings(
          take,
          this.positions.map((i) => this.plan.calls[i]!),
        ),
      })),
    } satisfies HearingOrder)
  }

  /** A take begins: the player starts with its count, the microphone from that moment on. */
  async start(player: Player, notes: NewTake['notes'], from?: number): Promise<void> {
    if (this.microphone === null || this.status === 'reading') return
    this.check = new SoundCheck()
    this.verdicts.clear()
    this.last = null
    this.rescued = []
    this.early = []
    this.keeper = null
    this.result = null
    this.problem = null
    this.speechBefore = this.level?.speech ?? 0
    this.status = 'reading'
    if (from === undefined) player.start()
    else player.jumpTo(from)
    const channel = new MessageChannel()
    const at = takeStart(player, this.card, await this.microphone.begin(channel.port1), this.roundTrip)
    this.about = aboutTake(this.plan, {
      kind: 'read',
      from: at,
      notes,
      device: this.microphone.device,
      roundTrip: this.roundTrip,
    })
    this.keeper = keepTake(this.stage, this.about, (words) => {
      this.problem = words
      this.announce()
    })
    for (const piece of this.early) this.keeper.add(piece.at, piece.samples)
    const level = readLevel()
    this.worker?.postMessage(
      {
        type: 'begin',
        planned: this.positions.map((i) => this.plan.calls[i]!.start - at),
        level,
        from: channel.port2,
      } satisfies HearingOrder,
      [channel.port2],
    )
    this.announce()
  }

  private hear(news: HearingNews): void {
    if (news.type === 'piece') {
      if (this.keeper) this.keeper.add(news.at, news.samples)
      else this.early.push(news)
    } else if (news.type === 'call') {
      const { call, from, confidence } = news.call
      const planned = this.plan.calls[this.positions[call]!]!
      const start = from + this.about!.from
      const verdict =
        confidence < HEARD
          ? 'not heard'
          : start < planned.earliest
            ? 'early'
            : start > planned.latest
              ? 'late'
              : 'in window'
      this.last = { index: planned.index, verdict, off: start - planned.preferred }
      this.verdicts.set(planned.index, this.last)
      this.announce()
    } else if (news.type === 'heard') void this.settle(news)
  }

  /** Called every so often while riding: the voice says what the reader has not begun a second after its latest start. */
  help(now: StageTime): void {
    if (this.status !== 'reading' || !this.rescue || this.level?.speaking) return
    const at = callToRescue(this.plan.calls, this.clips, this.verdicts, this.rescued, now)
    if (at === null) return
    const clip = this.clips[at]!
    this.rescued.push(this.plan.calls[at]!.index)
    if (this.card.has(clip)) this.card.play(clip, this.card.now())
    else void this.card.load(clip).then(() => this.card.play(clip, this.card.now()))
  }

  stop(): void {
    if (this.status !== 'reading') return
    this.status = 'settling'
    this.microphone?.end()
    this.announce()
  }

  private async settle({ heard }: Extract<HearingNews, { type: 'heard' }>): Promise<void> {
    const about = this.about!
    const told = heardWire(heard, about.from, (position) => this.plan.calls[this.positions[position]!]!.index)
    writeLevel(heard.level)
    const warnings = this.check.warnings(about.device)
    const starts = new Map(about.calls.map((call) => [call.index, call.start]))
    const offsets = told.calls.filter((one) => one.confidence > 0.1).map((one) => one.from - starts.get(one.index)!)
    if (this.voice && voiceLeaks(offsets))
      warnings.push(
        'The reference voice was heard by the microphone: it, not you, may have been measured. Use headphones.',
      )
    const wire: HeardWire = {
      ...told,
      rescued: this.rescued,
      warnings,
      speech: Math.max(0, (this.level?.speech ?? 0) - this.speechBefore),
    }
    try {
      this.result = await this.keeper!.finish(wire)
      this.status = 'done'
    } catch (error) {
      this.problem = (error as Error).message
      this.status = 'ready'
    }
    this.announce()
  }

  again(): void {
    this.status = this.microphone === null ? 'shut' : 'ready'
    this.announce()
  }

  close(): void {
    if (this.status === 'reading') this.microphone?.end()
    this.microphone?.close()
    this.microphone = null
    this.worker?.terminate()
    this.worker = null
    this.listeners.clear()
  }
}

function readLevel(): number[] | null {
  try {
    const level = JSON.parse(localStorage.getItem(LEVEL_KEY) ?? 'null') as unknown
    return Array.isArray(level) && level.length === 20 && level.every(Number.isFinite) ? level : null
  } catch {
    return null
  }
}
const writeLevel = (level: Float32Array) => localStorage.setItem(LEVEL_KEY, JSON.stringify([...level]))
