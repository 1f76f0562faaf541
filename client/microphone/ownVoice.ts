import type { HeardCall } from './hearTake.ts'
import { BANDS, FRAME_SECONDS } from './melFrames.ts'
import type { Template } from './templates.ts'

/** An earlier take of the same reader: its frames, how loud they spoke, and what was heard where. */
export interface EarlierTake {
  readonly frames: Float32Array
  readonly level: Float32Array
  readonly calls: readonly HeardCall[]
}

/** A reading is taken for a template only when it was heard this surely, and is not of a wildly different length. */
const SURE = 0.1
const LONGEST = 1.7
const SHORTEST = 0.6

/**
 * Templates with the reader's own voice in place of the machine's wherever an earlier take has a sure reading; the newest take (last) goes first. Own frames are brought to the
 * loudness `level` of the rest, word ends are moved in proportion. Calls that no take has surely keep the machine's voice.
 */
export function ownTemplates(
  templates: readonly Template[],
  level: Float32Array,
  takes: readonly EarlierTake[],
): Template[] {
  return templates.map((template, i) => {
    for (const take of [...takes].reverse()) {
      const read = take.calls.find((one) => one.call === i && one.kind === 'read')
      if (!read || read.confidence < SURE || take.calls.some((one) => one.call === i && one.kind !== 'read')) continue
      const from = Math.round(read.from / FRAME_SECONDS)
      const to = Math.round(read.to / FRAME_SECONDS)
      const count = template.frames.length / BANDS
      if (to - from < SHORTEST * count || to - from > LONGEST * count || to * BANDS > take.frames.length) continue
      const frames = take.frames.slice(from * BANDS, to * BANDS)
      for (let at = 0; at < frames.length; at++) frames[at]! += level[at % BANDS]! - take.level[at % BANDS]!
      const boundaries = [...new Set(template.boundaries.map((one) => Math.round((one * (to - from)) / count)))].filter(
        (one) => one > 0 && one < to - from - 2,
      )
      return { call: template.call, frames, boundaries }
    }
    return template
  })
}
