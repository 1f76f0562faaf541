import { fetchTemplates } from './clipTemplates.ts'
import { type HeardCall, type HeardTake, hearFrames, type LiveCall, LiveHearing } from './hearTake.ts'
import { BANDS, HEARING_RATE, MelFrames, melFramesOf } from './melFrames.ts'
import { type EarlierTake, ownTemplates } from './ownVoice.ts'
import { PRICES } from './prices.ts'
import { surroundingsOf } from './surroundings.ts'
import { type Script, scriptOf, type Template } from './templates.ts'
import { fromInt16, readWav } from './wav.ts'

/** Orders to the listener, and what it tells. Positions are those of the calls it was given; seconds on the take's clock. */
export type HearingOrder =
  | {
      readonly type: 'script'
      readonly clips: readonly string[]
      /** Wording of each call, parallel to clips; without it no word is looked at. */
      readonly says?: readonly string[]
      /** Earlier takes of the same reader, oldest first: their sound, and what was heard in them, by position. */
      readonly own?: readonly { readonly sound: string; readonly calls: readonly HeardCall[] }[]
    }
  | {
      readonly type: 'begin'
      readonly planned: readonly number[]
      readonly level: readonly number[] | null
      readonly from: MessagePort
    }
  /** A take that was cut off, or one to be heard again. */
  | { readonly type: 'again'; readonly planned: readonly number[]; readonly samples: Int16Array }
export type HearingNews =
  | { readonly type: 'ready'; readonly missing: number }
  | { readonly type: 'call'; readonly call: LiveCall }
  | { readonly type: 'piece'; readonly at: number; readonly samples: Int16Array }
  | { readonly type: 'heard'; readonly heard: HeardTake }
  | { readonly type: 'problem'; readonly message: string }

/** Samples a piece holds: one second. */
const PIECE = HEARING_RATE

const page = self as unknown as { postMessage(news: HearingNews, move?: Transferable[]): void; onmessage: unknown }
let templates: Promise<Template[]> = Promise.resolve([])
let says: readonly string[] | null = null

/** The machine's voice, then the reader's own wherever earlier takes have it; a take that cannot be had is passed over. */
async function makeTemplates(
  clips: readonly string[],
  own: readonly { readonly sound: string; readonly calls: readonly HeardCall[] }[],
): Promise<Template[]> {
  const { made, missing } = await fetchTemplates(clips)
  const earlier: EarlierTake[] = []
  for (const { sound, calls } of own) {
    const response = await fetch(sound)
    if (!response.ok) continue
    const frames = melFramesOf(fromInt16(readWav(await response.arrayBuffer()).samples))
    earlier.push({ frames, level: surroundingsOf(frames).level, calls })
  }
  const all =
    earlier.length > 0
      ? ownTemplates(
          made,
          scriptOf(
            made,
            made.map(() => 0),
          ).level,
          earlier,
        )
      : made
  page.postMessage({ type: 'ready', missing })
  return all
}

class Take {
  private readonly mel = new MelFrames()
  private readonly live: LiveHearing
  private readonly script: Script
  private frames = new Float32Array(BANDS * 50 * 60)
  private count = 0
  private piece = new Int16Array(PIECE)
  private filled = 0
  private at = 0

  constructor(script: Script, level: Float32Array) {
    this.script = script
    this.live = new LiveHearing(script, level, (call) => page.postMessage({ type: 'call', call }))
  }

  push(samples: Float32Array): void {
    this.live.push(samples)
    this.mel.push(samples, this.keep)
    for (let i = 0; i < samples.length; i++) {
      this.piece[this.filled++] = Math.max(-32768, Math.min(32767, Math.round(samples[i]! * 32768)))
      if (this.filled === PIECE) this.handOver()
    }
  }

  private readonly keep = (frame: Float32Array): void => {
    if ((this.count + 1) * BANDS > this.frames.length) {
      const more = new Float32Array(this.frames.length * 2)
      more.set(this.frames)
      this.frames = more
    }
    this.frames.set(frame, this.count++ * BANDS)
  }

  private handOver(): void {
    if (this.filled === 0) return
    const samples = this.piece.slice(0, this.filled)
    page.postMessage({ type: 'piece', at: this.at, samples }, [samples.buffer])
    this.at += this.filled
    this.filled = 0
  }

  finish(): void {
    this.handOver()
    const frames = this.frames.slice(0, this.count * BANDS)
    page.postMessage({ type: 'heard', heard: hearFrames(frames, this.script, PRICES, says) })
  }
}

page.onmessage = async ({ data }: MessageEvent<HearingOrder>) => {
  try {
    if (data.type === 'script') {
      says = data.says ?? null
      templates = makeTemplates(data.clips, data.own ?? [])
      await templates
      return
    }
    const script = scriptOf(await templates, data.planned)
    if (data.type === 'again') {
      const take = new Take(script, script.level)
      for (let at = 0; at < data.samples.length; at += PIECE)
        take.push(fromInt16(data.samples.subarray(at, at + PIECE)))
      take.finish()
      return
    }
    const take = new Take(script, data.level === null ? script.level : Float32Array.from(data.level))
    data.from.onmessage = ({
      data: news,
    }: MessageEvent<{ type: 'sound'; samples: Float32Array } | { type: 'end' }>) => {
      if (news.type === 'sound') take.push(news.samples)
      else {
        take.finish()
        data.from.close()
      }
    }
  } catch (error) {
    page.postMessage({ type: 'problem', message: (error as Error).message })
  }
}
