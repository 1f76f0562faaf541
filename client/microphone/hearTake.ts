import { Aligner } from './align.ts'
import { confidenceOf, evidenceOf } from './confidence.ts'
import { type ListenHere, listenHere } from './listenHere.ts'
import { BANDS, FRAME_SECONDS, MelFrames, melFramesOf } from './melFrames.ts'
import { isStrong, type Stretch } from './noiseGuard.ts'
import { PRICES, type Prices } from './prices.ts'
import { LiveSurroundings, surroundingsOf } from './surroundings.ts'
import type { Script } from './templates.ts'

/** A call as it was heard in a take. */
export interface HeardCall {
  /** Position in the script. */
  readonly call: number
  /** Seconds on the take's clock. */
  readonly from: number
  readonly to: number
  /** 'read'; 'again' when it had been read before; 'broken off' at a word and begun again. */
  readonly kind: 'read' | 'again' | 'broken off'
  readonly confidence: number
}

export interface HeardTake {
  readonly calls: readonly HeardCall[]
  /** Loudness of the reader, ln(power) a band: where the next live take begins. */
  readonly level: Float32Array
  /** How far loud speech stands over the floor, dB, mean of the bands. */
  readonly overFloor: number
  readonly scale: number
  /** Words that may have been others; empty in noise, or when the wording was not given. */
  readonly listen: readonly ListenHere[]
  /** Length of the take. */
  readonly seconds: number
}

/** So much better explained by noise or by another call, a stretch is no reading of this one at all: a cough in the place of a call that was left out. */
const DISMISSED = -0.1
/** A call that cannot be noise speaks for others within this of it: somebody is reading there. */
const NEAR_SECONDS = 60

const DECIBEL = 10 / Math.LN10

/** A whole take with hindsight: 16 kHz, full scale ±1, sample 0 at time 0 of the script. */
export function hearTake(samples: Float32Array, script: Script, prices: Prices = PRICES): HeardTake {
  return hearFrames(melFramesOf(samples), script, prices)
}

/** The same from frames kept while it was recorded: 4 kB a second, so that a take of hours fits in memory. `says` is the wording of each call, for "listen here". */
export function hearFrames(
  frames: Float32Array,
  script: Script,
  prices: Prices = PRICES,
  says: readonly string[] | null = null,
): HeardTake {
  const { masks, level, scale, floors } = surroundingsOf(frames)
  const aligner = new Aligner(script, prices)
  const count = frames.length / BANDS
  for (let f = 0; f < count; f++) aligner.push(frames, masks, level, scale, f * BANDS, f * BANDS)
  const shift = level.map((v, b) => v - script.level[b]!)
  const stretch: Stretch = { frames, masks, shift, scale }
  const links = aligner.finish()
  const evidence = links.map(({ call, from, to, partial }) =>
    partial ? null : evidenceOf(stretch, from, to, call, script.templates, prices),
  )
  const strong = links.flatMap(({ from }, i) =>
    evidence[i] && isStrong(evidence[i].overNoise, evidence[i].frames) ? [from] : [],
  )
  const read = new Set<number>()
  const calls = links.flatMap(({ call, from, to, partial }, i): HeardCall[] => {
    const nearStrong = strong.some((at) => Math.abs(at - from) * FRAME_SECONDS <= NEAR_SECONDS)
    const confidence = partial ? 0 : confidenceOf(evidence[i]!, nearStrong)
    if (confidence < DISMISSED) return []
    const kind = partial ? 'broken off' : read.has(call) ? 'again' : 'read'
    if (!partial) read.add(call)
    return [{ call, from: from * FRAME_SECONDS, to: to * FRAME_SECONDS, kind, confidence }]
  })
  let over = 0
  for (let b = 0; b < BANDS; b++) over += level[b]! - floors[Math.floor(floors.length / BANDS / 2) * BANDS + b]!
  const overFloor = (over / BANDS) * DECIBEL
  const listen = says === null ? [] : listenHere(stretch, overFloor, calls, script.templates, says)
  return { calls, level, overFloor, scale, listen, seconds: count * FRAME_SECONDS }
}

/** A call as soon as it can be told, seconds on the take's clock; `at` is when it was told. */
export interface LiveCall {
  readonly call: number
  readonly from: number
  readonly to: number
  readonly at: number
  readonly confidence: number
}

/** A call being said counts once this share of it is out. */
const ENOUGH = 0.85
/** Frames a call must stay in the best hypothesis before it is told: 80 ms. One that is not sure enough then is looked at again so many times. */
const SETTLED = 4
const TRIES = 5
/** Without hindsight a call far from its time is often another: each second beyond the first half costs this much confidence. */
const DOUBT_PER_SECOND = 0.04

const leastSure = (off: number) => DOUBT_PER_SECOND * Math.max(0, Math.abs(off) - 0.5)

/** Frames kept for confidence: the longest call and its verdict. */
const KEPT = 600

/** The same while the take goes on: push sound, be told of calls. Memory does not grow with the take. */
export class LiveHearing {
  private readonly mel = new MelFrames()
  private readonly around: LiveSurroundings
  private readonly aligner: Aligner
  private readonly script: Script
  private readonly ring = new Float32Array(KEPT * BANDS)
  private frames = 0
  private readonly told = new Set<number>()
  private readonly waiting = new Map<number, { from: number; since: number; seen: number; tries: number }>()
  private readonly tell: (call: LiveCall) => void

  constructor(script: Script, level: Float32Array, tell: (call: LiveCall) => void, prices: Prices = PRICES) {
    this.script = script
    this.around = new LiveSurroundings(level)
    this.aligner = new Aligner(script, prices)
    this.tell = tell
  }

  push(samples: Float32Array): void {
    this.mel.push(samples, this.take)
  }

  private readonly take = (frame: Float32Array): void => {
    this.around.push(frame)
    this.ring.set(frame, (this.frames % KEPT) * BANDS)
    this.frames++
    this.aligner.push(frame, this.around.mask, this.around.level, this.around.scale)
    const { link, call, share, from } = this.aligner.standing()
    if (call >= 0 && share >= ENOUGH) this.consider(call, from, this.frames)
    // A chain grows by one call at a time, so the newest links are enough to look at.
    for (let one = link, looked = 0; one !== null && looked < 3; one = one.before, looked++)
      if (!one.partial) this.consider(one.call, one.from, one.to)
  }

  /** A call is told once the best hypothesis has kept it for a while: the first guess of an end is often a shorter call of like words. */
  private consider(call: number, from: number, to: number): void {
    if (this.told.has(call)) return
    const waiting = this.waiting.get(call)
    if (waiting === undefined || waiting.from !== from || waiting.seen < this.frames - 1) {
      this.waiting.set(call, { from, since: this.frames, seen: this.frames, tries: 0 })
      return
    }
    waiting.seen = this.frames
    if (this.frames - waiting.since < SETTLED || waiting.tries >= TRIES) return
    if (this.announce(call, from, to)) {
      this.waiting.delete(call)
      return
    }
    waiting.since = this.frames
    waiting.tries++
  }

  /** Tells a call if it is sure enough. */
  private announce(call: number, from: number, to: number): boolean {
    const length = Math.min(KEPT - 1, to - from)
    const frames = new Float32Array(length * BANDS)
    for (let f = 0; f < length; f++) {
      const at = ((to - length + f) % KEPT) * BANDS
      frames.set(this.ring.subarray(at, at + BANDS), f * BANDS)
    }
    const shift = this.around.level.map((v, b) => v - this.script.level[b]!)
    const stretch: Stretch = { frames, masks: this.around.mask, shift, scale: this.around.scale }
    const confidence = confidenceOf(evidenceOf(stretch, 0, length, call, this.script.templates), false)
    if (confidence < leastSure(from * FRAME_SECONDS - this.script.planned[call]!)) return false
    this.told.add(call)
    this.tell({
      call,
      from: from * FRAME_SECONDS,
      to: to * FRAME_SECONDS,
      at: this.frames * FRAME_SECONDS,
      confidence,
    })
    return true
  }
}
