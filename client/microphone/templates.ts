import { BANDS, FRAME_SECONDS, melFramesOf } from './melFrames.ts'
import { Histogram } from './surroundings.ts'

/** One call as the voice (or the reader, in an earlier take) says it. */
export interface Template {
  readonly call: number
  /** BANDS values a frame. */
  readonly frames: Float32Array
  /** Frames after which a word ends, ascending, without the last. */
  readonly boundaries: readonly number[]
}

/** What the take is held against: calls in order, each with the stage time at which the plan starts it. */
export interface Script {
  readonly templates: readonly Template[]
  /** Seconds on the take's own clock, parallel to templates, ascending. */
  readonly planned: readonly number[]
  /** Loudness of the templates in each band. */
  readonly level: Float32Array
}

/** A template's loudness: this share of its frames is quieter. */
const LEVEL_SHARE = 0.93

/** A template of a sound at 16 kHz, trimmed of silence; `wordEnds` in seconds, last one its length. */
export function templateOf(call: number, samples: Float32Array, wordEnds: readonly number[]): Template {
  const frames = melFramesOf(samples)
  const count = frames.length / BANDS
  const boundaries: number[] = []
  for (const end of wordEnds.slice(0, -1)) {
    const frame = Math.round(end / FRAME_SECONDS) - 1
    if (frame > (boundaries.at(-1) ?? 0) && frame < count - 2) boundaries.push(frame)
  }
  return { call, frames, boundaries }
}

/** Templates with their planned starts. Throws RangeError for lists of unlike lengths or starts that go back. */
export function scriptOf(templates: readonly Template[], planned: readonly number[]): Script {
  if (templates.length !== planned.length)
    throw new RangeError(`scriptOf: ${templates.length} templates for ${planned.length} starts`)
  for (let i = 1; i < planned.length; i++)
    if (!(planned[i]! >= planned[i - 1]!)) throw new RangeError(`scriptOf: start ${i} goes back to ${planned[i]}`)
  const level = new Float32Array(BANDS)
  for (let b = 0; b < BANDS; b++) {
    const histogram = new Histogram()
    for (const { frames } of templates) for (let at = b; at < frames.length; at += BANDS) histogram.add(frames[at]!)
    level[b] = histogram.quantile(LEVEL_SHARE)
  }
  return { templates, planned, level }
}
