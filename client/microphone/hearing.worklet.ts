import { BLOCK, Detector } from './detector.ts'
import { HEARING_RATE } from './melFrames.ts'
import { Resampler } from './resample.ts'

/** What the sound card's thread has; its types are not among the page's. */
declare const sampleRate: number
declare const currentFrame: number
declare class AudioWorkletProcessor {
  readonly port: MessagePort
}
declare function registerProcessor(name: string, make: new () => AudioWorkletProcessor): void

/** Blocks between two reports: 20 ms. */
const REPORT = 8
/** Samples at 16 kHz handed over at once: 20 ms, so that 50 messages a second leave this thread and not 375. */
const BATCH = 320
const FULL = 0.985

export type WorkletReport = {
  readonly type: 'level'
  readonly rms: number
  readonly peak: number
  readonly clipped: number
  readonly speaking: boolean
  /** Seconds of speech ended so far, and blocks of this take that never came. */
  readonly speech: number
  readonly dropped: number
}
export type WorkletMessage =
  | WorkletReport
  | { readonly type: 'began'; readonly frame: number }
  | { readonly type: 'raw'; readonly frame: number; readonly samples: Float32Array }
export type WorkletOrder =
  | { readonly type: 'begin'; readonly to: MessagePort }
  | { readonly type: 'end' }
  /** The next `seconds` as they come, for the set-up. */
  | { readonly type: 'raw'; readonly seconds: number }

/** Listens on the sound card's own clock: loudness, speech or not, and while a take is on, its sound at 16 kHz to whoever listens to it. */
class Hearing extends AudioWorkletProcessor {
  private readonly detector = new Detector(sampleRate)
  private resampler: Resampler | null = null
  private to: MessagePort | null = null
  private batch = new Float32Array(BATCH)
  private batched = 0
  private blocks = 0
  private power = 0
  private peak = 0
  private clipped = 0
  private speech = 0
  private dropped = 0
  private expected = -1
  private raw: Float32Array | null = null
  private rawFilled = 0
  private rawFrame = 0

  constructor() {
    super()
    this.port.onmessage = ({ data }: MessageEvent<WorkletOrder>) => {
      if (data.type === 'begin') {
        this.resampler = new Resampler(sampleRate, HEARING_RATE)
        this.to = data.to
        this.batched = 0
        this.dropped = 0
        this.port.postMessage({ type: 'began', frame: currentFrame } satisfies WorkletMessage)
      } else if (data.type === 'raw') {
        this.raw = new Float32Array(Math.round(data.seconds * sampleRate))
        this.rawFilled = 0
        this.rawFrame = currentFrame
      } else {
        this.handOver()
        this.to?.postMessage({ type: 'end' })
        this.to = null
        this.resampler = null
      }
    }
  }

  process(inputs: Float32Array[][]): boolean {
    const samples = inputs[0]?.[0] ?? new Float32Array(BLOCK)
    // Blocks that never came are silence, so that what comes after keeps its time. Before a take they are nobody's: Chromium skips 10 to 50 blocks (30 to 130 ms) once, when it
    // moves the sound over to this thread right after the first call.
    if (this.to && this.expected >= 0 && currentFrame > this.expected) {
      this.dropped += (currentFrame - this.expected) / BLOCK
      this.hear(new Float32Array(currentFrame - this.expected))
    }
    this.expected = currentFrame + samples.length
    const ended = this.detector.push(samples)
    if (ended?.speech) this.speech += (ended.to - ended.from) / sampleRate
    for (let i = 0; i < samples.length; i++) {
      const v = Math.abs(samples[i]!)
      this.power += v * v
      if (v > this.peak) this.peak = v
      if (v >= FULL) this.clipped++
    }
    if (this.to) this.hear(samples)
    if (this.raw) {
      const part = samples.subarray(0, this.raw.length - this.rawFilled)
      this.raw.set(part, this.rawFilled)
      this.rawFilled += part.length
      if (this.rawFilled >= this.raw.length) {
        this.port.postMessage({ type: 'raw', frame: this.rawFrame, samples: this.raw } satisfies WorkletMessage)
        this.raw = null
      }
    }
    if (++this.blocks % REPORT === 0) {
      this.port.postMessage({
        type: 'level',
        rms: Math.sqrt(this.power / (REPORT * BLOCK)),
        peak: this.peak,
        clipped: this.clipped,
        speaking: this.detector.speaking,
        speech: this.speech,
        dropped: this.dropped,
      } satisfies WorkletMessage)
      this.power = 0
      this.peak = 0
      this.clipped = 0
    }
    return true
  }

  /** Sound of the take, at the card's rate. */
  private hear(samples: Float32Array): void {
    const out = this.resampler!.push(samples)
    for (let i = 0; i < out.length; i++) {
      this.batch[this.batched++] = out[i]!
      if (this.batched === BATCH) this.handOver()
    }
  }

  private handOver(): void {
    if (this.to === null || this.batched === 0) return
    const samples = this.batch.subarray(0, this.batched)
    this.to.postMessage({ type: 'sound', samples }, [samples.buffer])
    this.batch = new Float32Array(BATCH)
    this.batched = 0
  }
}

registerProcessor('say-when-hearing', Hearing)
