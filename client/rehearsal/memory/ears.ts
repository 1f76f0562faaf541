import type { PlanDocument } from '../../../server/api/wire.ts'
import type { Seconds, StageTime } from '../../../server/units.ts'
import { HEARD } from '../../microphone/confidence.ts'
import type { HearingNews, HearingOrder } from '../../microphone/hearing.worker.ts'
import { HEARING_RATE } from '../../microphone/melFrames.ts'
import { type Microphone, openMicrophone } from '../../microphone/microphone.ts'
import { pageNow } from '../../playback/clocks.ts'
import type { Player } from '../../playback/player.ts'
import type { WebSoundCard } from '../../playback/soundCard.ts'
import { takeStart } from '../takeStart.ts'
import type { RecallNews, RecallOrder } from './recall.worker.ts'
import { RIGHT, WRONG } from './recallJudge.ts'
import type { Grade } from './rideDoors.ts'

export interface EarNews {
  /** `grade` null: heard, not (or not yet) for certain. */
  heard(position: number, grade: Grade | null): void
  /** What each call means, in the plan's order: calls of one meaning are one answer. */
  meanings(): readonly string[]
  tell(words: string | null): void
  listening(open: boolean): void
}

/** The stage clock against the page's may drift by this much before it counts as a jump, and the script is laid anew. */
const JUMPED: Seconds = 0.2
/** Sound kept for the judge, and how much of it after a call was told it waits for. */
const KEPT: Seconds = 12
const AFTER: Seconds = 0.4

/**
 * Hears which call was said, with the listener of Read aloud. A ride from memory jumps and waits, so a new take begins wherever its clock does not go on
 * evenly. Begun before the voice, a call may have been known; what is begun after it is an echo, and told by nobody. The listener of Read aloud expects the call
 * that is due and is glad of little, so whether another call was said instead is judged apart (recallJudge).
 */
export class Ears {
  private readonly card: WebSoundCard
  private readonly player: Player
  private readonly plan: () => PlanDocument
  private readonly news: EarNews
  private microphone: Microphone | null = null
  private worker: Worker | null = null
  private positions: number[] = []
  private ready = false
  private taking = false
  private shut = false
  /** Stage time of the take's first sample; stage time less page time while it goes on evenly. */
  private from = 0
  private even = Number.NaN
  private level: Float32Array | null = null
  private judge: Worker | null = null
  /** The take's last seconds, 16 kHz, and the sample at which they begin. */
  private kept = new Int16Array(0)
  private keptFrom = 0
  private toJudge: { position: number; from: number; to: number }[] = []

  constructor(card: WebSoundCard, player: Player, plan: () => PlanDocument, news: EarNews) {
    this.card = card
    this.player = player
    this.plan = plan
    this.news = news
  }

  async open(): Promise<void> {
    try {
      this.news.tell('Opening the microphone; what it hears stays on this machine.')
      await this.card.resume()
      const microphone = await openMicrophone(this.card.context, null)
      if (this.shut) return microphone.close()
      this.microphone = microphone
      microphone.onGone = () => {
        this.news.listening(false)
        this.news.tell(
          `"${microphone.device}" is gone. Judge yourself by 1, 2 and 3, or plug it in and press say it again.`,
        )
      }
      await this.listen()
      this.news.tell(microphone.caution)
      this.news.listening(true)
      this.ready = true
    } catch (error) {
      this.news.tell((error as Error).message)
    }
  }

  private listen(): Promise<void> {
    const worker = new Worker(new URL('../../microphone/hearing.worker.ts', import.meta.url), { type: 'module' })
    this.worker = worker
    const { calls } = this.plan()
    this.positions = calls.flatMap((call, i) => (call.clip === null ? [] : [i]))
    worker.postMessage({ type: 'script', clips: this.positions.map((i) => calls[i]!.clip!) } satisfies HearingOrder)
    this.judge = new Worker(new URL('./recall.worker.ts', import.meta.url), { type: 'module' })
    const meanings = this.news.meanings()
    this.judge.postMessage({
      type: 'script',
      clips: this.positions.map((i) => calls[i]!.clip!),
      meanings: this.positions.map((i) => meanings[i] ?? calls[i]!.say),
    } satisfies RecallOrder)
    this.judge.onmessage = ({ data }: MessageEvent<RecallNews>) =>
      this.news.heard(this.positions[data.due]!, data.margin > RIGHT ? 'in time' : data.margin < WRONG ? 'no' : null)
    return new Promise((resolve, reject) => {
      worker.onmessage = ({ data }: MessageEvent<HearingNews>) => {
        if (data.type === 'ready') resolve()
        else if (data.type === 'problem') reject(new Error(data.message))
        else if (data.type === 'call') this.hear(data.call)
        else if (data.type === 'piece') this.keep(data.at, data.samples)
        else if (data.type === 'heard') this.level = data.heard.level
      }
      worker.onerror = () => reject(new Error('The listener could not be started; reload the page.'))
    })
  }

  /** With every picture: a take where the ride goes on, a new one where it jumped. */
  tick(): void {
    if (!this.ready) return
    const riding = this.player.status() === 'riding' || this.player.waiting()
    if (!riding) {
      if (this.taking) this.end()
      return
    }
    // A ride that waits keeps its take: what is said then is still before the voice.
    if (this.player.waiting()) return
    const even = this.player.stageHeard() - pageNow()
    if (this.taking && Math.abs(even - this.even) < JUMPED) return
    this.even = even
    this.begin()
  }

  private begin(): void {
    this.end()
    this.taking = true
    this.kept = new Int16Array(0)
    this.toJudge = []
    const channel = new MessageChannel()
    const { microphone, worker, card, player } = this
    void microphone!.begin(channel.port1).then((heardAt) => {
      this.from = takeStart(player, card, heardAt, null)
      const { calls } = this.plan()
      worker?.postMessage(
        {
          type: 'begin',
          planned: this.positions.map((i) => calls[i]!.start - this.from),
          level: this.level && [...this.level],
          from: channel.port2,
        } satisfies HearingOrder,
        [channel.port2],
      )
    })
  }

  private end(): void {
    if (this.taking) this.microphone?.end()
    this.taking = false
  }

  private hear({ call, from, to, confidence }: { call: number; from: number; to: number; confidence: number }): void {
    const position = this.positions[call]!
    const planned = this.plan().calls[position]
    const begun = (this.from + from) as StageTime
    if (!planned || confidence < HEARD || begun >= planned.start) return
    this.news.heard(position, null)
    this.toJudge.push({ position: call, from, to })
    this.judgeHeard()
  }

  private keep(at: number, samples: Int16Array): void {
    const before = this.kept.subarray(Math.max(0, this.kept.length + samples.length - KEPT * HEARING_RATE))
    const kept = new Int16Array(before.length + samples.length)
    kept.set(before)
    kept.set(samples, before.length)
    this.kept = kept
    this.keptFrom = at - before.length
    this.judgeHeard()
  }

  /** Hands over what was told once its sound is here. */
  private judgeHeard(): void {
    const until = (this.keptFrom + this.kept.length) / HEARING_RATE
    const begins = this.keptFrom / HEARING_RATE
    this.toJudge = this.toJudge.filter(({ position, from, to }) => {
      if (this.kept.length === 0 || to + AFTER > until) return true
      const samples = this.kept.slice()
      const order: RecallOrder = { type: 'judge', due: position, samples, from: from - begins, to: to - begins }
      this.judge?.postMessage(order, [samples.buffer])
      return false
    })
  }

  close(): void {
    this.shut = true
    this.ready = false
    this.end()
    this.news.listening(false)
    this.microphone?.close()
    this.worker?.terminate()
    this.judge?.terminate()
  }
}
