import { BANDS } from './melFrames.ts'
import { forceAgainstNoise, noiseMargin, type Stretch } from './noiseGuard.ts'
import { PRICES, type Prices } from './prices.ts'
import type { Template } from './templates.ts'

/** Calls of like length it could have been instead. */
const OTHERS = 7
/** Under this a call is "not heard"; under SURE it is "heard, not sure": shown, not scored. */
export const HEARD = 0
export const SURE = 0.05

/** Cost a frame of a template forced onto frames [from, to) of a stretch: the same warping as in align, without pauses. Infinity when it cannot reach. */
export function forcedCost(
  stretch: Stretch,
  from: number,
  to: number,
  template: Template,
  prices: Prices = PRICES,
): number {
  const { frames, masks, shift, scale } = stretch
  const rows = template.frames
  const count = rows.length / BANDS
  const oneMask = masks.length === BANDS
  const unit = (prices.distance * scale) / BANDS
  const cost = new Float64Array(count).fill(Number.POSITIVE_INFINITY)
  for (let f = from; f < to; f++) {
    const at = f * BANDS
    const maskAt = oneMask ? 0 : at
    for (let j = count - 1; j >= 0; j--) {
      let least = cost[j]! + prices.stay
      if (j > 0 && cost[j - 1]! < least) least = cost[j - 1]!
      if (j > 1 && cost[j - 2]! + prices.skip < least) least = cost[j - 2]! + prices.skip
      if (j === 0 && f === from) least = 0
      if (least === Number.POSITIVE_INFINITY) continue
      let sum = 0
      for (let b = 0; b < BANDS; b++) {
        const hidden = masks[maskAt + b]!
        const x = Math.max(frames[at + b]!, hidden)
        const r = Math.max(rows[j * BANDS + b]! + shift[b]!, hidden)
        const d = Math.abs(x - r)
        sum += d < prices.most ? d : prices.most
      }
      cost[j] = least + unit * sum
    }
  }
  const end = Math.min(cost[count - 1]!, count > 1 ? cost[count - 2]! + prices.skip : Number.POSITIVE_INFINITY)
  return end / Math.max(1, to - from)
}

/** What speaks for a call, in costs a frame. */
export interface Evidence {
  /** Median of up to seven other calls of like length less its own cost. */
  readonly overOthers: number
  /** Against noise alone, before its limit. */
  readonly overNoise: number
  readonly frames: number
}

/** Evidence for call `call` over frames [from, to). */
export function evidenceOf(
  stretch: Stretch,
  from: number,
  to: number,
  call: number,
  templates: readonly Template[],
  prices: Prices = PRICES,
): Evidence {
  const own = templates[call]!
  const like = templates
    .map((template, i) => ({
      i,
      template,
      apart: Math.abs(template.frames.length - own.frames.length) + Math.abs(i - call),
    }))
    .filter(({ i, template }) => i !== call && !sameSound(template, own))
    .sort((a, b) => a.apart - b.apart)
    .slice(0, OTHERS)
    .map(({ template }) => forcedCost(stretch, from, to, template, prices))
    .sort((a, b) => a - b)
  const median = like.length > 0 ? like[Math.floor((like.length - 1) / 2)]! : Number.POSITIVE_INFINITY
  const { cost, overNoise } = forceAgainstNoise(stretch, from, to, own, prices)
  return { overOthers: median - cost, overNoise, frames: to - from }
}

/** The lesser of both. Below HEARD a call counts as not heard, below SURE as not sure. */
export const confidenceOf = ({ overOthers, overNoise, frames }: Evidence, nearStrong: boolean): number =>
  Math.min(overOthers, noiseMargin(overNoise, frames, nearStrong))

/** The same words give the same clip: no evidence against. */
function sameSound(a: Template, b: Template): boolean {
  if (a.frames.length !== b.frames.length) return false
  for (let i = 0; i < a.frames.length; i += 7) if (a.frames[i] !== b.frames[i]) return false
  return true
}
