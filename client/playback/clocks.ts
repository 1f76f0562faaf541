import type { AudioTime, EpochTime, Seconds, StageTime } from '../../server/units.ts'
import type { AudioReading } from './audioClock.ts'
import type { PageTime } from './serverClock.ts'

/** Where the stage clock stands on the sound card's clock. `rate` is 1 while riding, 0 while held: sound is never stretched. */
export interface Anchor {
  readonly stage: StageTime
  readonly audio: AudioTime
  readonly rate: 0 | 1
}

/** `seconds` after `t`, on t's own clock. */
export function later<T extends number>(t: T, seconds: Seconds): T {
  return (t + seconds) as T
}

/** stage = anchor.stage + rate · (audio − anchor.audio). */
export function stageAt(anchor: Anchor, audio: AudioTime): StageTime {
  return later(anchor.stage, anchor.rate * ((audio as number) - (anchor.audio as number)))
}

/** The moment on the sound card at which `stage` comes; Infinity while the clock is held. */
export function audioAt(anchor: Anchor, stage: StageTime): AudioTime {
  if (anchor.rate === 0) return Number.POSITIVE_INFINITY as AudioTime
  return later(anchor.audio, (stage as number) - (anchor.stage as number))
}

/** The sound card's time now, including what is already on its way to the loudspeaker. */
export function audioNow(context: BaseAudioContext): AudioTime {
  return context.currentTime as AudioTime
}

/**
 * The moment being heard now: the card's time less what the output still holds back. Browsers that do not say hold back nothing
 * here. Pictures use this one, so that they never run ahead of the ear.
 */
export function audioHeard(context: AudioContext): AudioTime {
  const held = context.outputLatency
  return (context.currentTime - (Number.isFinite(held) ? held : 0)) as AudioTime
}

/** The wall clock, seconds since 1970. */
export function epochNow(): EpochTime {
  return (Date.now() / 1000) as EpochTime
}

/** This page's steady clock, seconds. */
export function pageNow(): PageTime {
  return performance.now() / 1000
}

/** The wall clock at a moment of this page's steady clock, as the browser anchors it. */
export function epochAtPage(page: PageTime): EpochTime {
  return (performance.timeOrigin / 1000 + page) as EpochTime
}

/** What is being heard, on both clocks at once. Browsers that state no output time hold back what they call their output latency. */
export function audioReading(context: AudioContext): AudioReading {
  const { contextTime, performanceTime } = context.getOutputTimestamp?.() ?? {}
  if (contextTime && performanceTime && context.state === 'running') {
    return { audio: contextTime as AudioTime, page: performanceTime / 1000 }
  }
  return { audio: audioHeard(context), page: pageNow() }
}
