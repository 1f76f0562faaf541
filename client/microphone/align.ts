import { type Link, linksOf, type Standing } from './links.ts'
import { BANDS, FRAME_SECONDS } from './melFrames.ts'
import { PRICES, type Prices } from './prices.ts'
import { excessOver } from './surroundings.ts'
import type { Script } from './templates.ts'

const INF = Number.POSITIVE_INFINITY

/**
 * A take against the calls of its script, frame by frame: one-pass dynamic time warping (connected-word Viterbi; Ney 1984, from memory). Calls come in
 * order; one may be left out, said again, begun again, run into the next or paused inside; what is none of them is "something else". Each hypothesis
 * carries its own running offset against the plan. Only calls near their planned time are open, so a frame's cost and memory do not grow with the take.
 */
export class Aligner {
  private readonly script: Script
  private readonly prices: Prices
  private frame = 0
  /** First state of each call among the flattened template frames. */
  private readonly base: Int32Array
  private readonly cost: Float64Array
  private readonly from: Int32Array
  private readonly offset: Float32Array
  private readonly link: (Link | null)[]
  /** A pause after a template frame, where a word ends there: same index as that frame. */
  private readonly pauseCost: Float64Array
  private readonly pauseFrom: Int32Array
  private readonly pauseOffset: Float32Array
  private readonly pauseLink: (Link | null)[]
  private readonly wordEnd: Uint8Array
  /** Between calls, the next being k: silent, or something else. */
  private readonly gap: Float64Array
  private readonly gapOffset: Float32Array
  private readonly gapLink: (Link | null)[]
  private readonly other: Float64Array
  private readonly otherOffset: Float32Array
  private readonly otherLink: (Link | null)[]
  private readonly x = new Float32Array(BANDS)
  private readonly shift = new Float32Array(BANDS)

  constructor(script: Script, prices: Prices = PRICES) {
    this.script = script
    this.prices = prices
    const calls = script.templates.length
    this.base = new Int32Array(calls + 1)
    for (let i = 0; i < calls; i++) this.base[i + 1] = this.base[i]! + script.templates[i]!.frames.length / BANDS
    const states = this.base[calls]!
    this.cost = new Float64Array(states).fill(INF)
    this.from = new Int32Array(states)
    this.offset = new Float32Array(states)
    this.link = new Array(states).fill(null)
    this.pauseCost = new Float64Array(states).fill(INF)
    this.pauseFrom = new Int32Array(states)
    this.pauseOffset = new Float32Array(states)
    this.pauseLink = new Array(states).fill(null)
    this.wordEnd = new Uint8Array(states)
    for (let i = 0; i < calls; i++) for (const b of script.templates[i]!.boundaries) this.wordEnd[this.base[i]! + b] = 1
    this.gap = new Float64Array(calls + 1).fill(INF)
    this.gapOffset = new Float32Array(calls + 1)
    this.gapLink = new Array(calls + 1).fill(null)
    this.other = new Float64Array(calls + 1).fill(INF)
    this.otherOffset = new Float32Array(calls + 1)
    this.otherLink = new Array(calls + 1).fill(null)
    // A take may begin anywhere on the stage: calls whose time is over before it begins cost nothing to leave out.
    const first = script.planned.findIndex((start) => start >= -prices.openBefore)
    this.gap[first < 0 ? calls : first] = 0
  }

  /** One frame of BANDS ln(power), with what surrounds it. */
  push(frame: Float32Array, mask: Float32Array, level: Float32Array, scale: number, at = 0, maskAt = 0): void {
    const { prices, script, gap, other, x, shift } = this
    const { planned } = script
    const t = this.frame * FRAME_SECONDS
    let quiet = 0
    for (let b = 0; b < BANDS; b++) {
      x[b] = Math.max(frame[at + b]!, mask[maskAt + b]!)
      quiet += Math.min(x[b]! - mask[maskAt + b]!, prices.most)
      shift[b] = level[b]! - script.level[b]!
    }
    const over = excessOver(frame, at, mask, maskAt)
    const unit = prices.distance * scale
    const silence = (prices.silence * unit * quiet) / BANDS
    const something = prices.distance * (prices.otherBase + prices.otherSlope * scale * over)
    const best = this.best()
    const limit = best + prices.beam

    // Calls, from what stood between them one frame ago.
    const { first, last } = this.open(t)
    for (let i = first; i < last; i++) {
      this.enter(i, t, limit)
      this.within(i, mask, maskAt, unit, silence, limit)
    }
    this.shut(first)

    // Between calls.
    for (let k = 0; k <= planned.length; k++) {
      if (gap[k] === INF && other[k] === INF) continue
      const begin = gap[k]! + prices.otherBegin
      if (begin < other[k]!) {
        this.otherOffset[k] = this.gapOffset[k]!
        this.otherLink[k] = this.gapLink[k]!
      }
      other[k] = Math.min(begin, other[k]!) + something
      gap[k]! += silence
      if (other[k]! < gap[k]!) {
        gap[k] = other[k]!
        this.gapOffset[k] = this.otherOffset[k]!
        this.gapLink[k] = this.otherLink[k]!
      }
    }
    for (let i = first; i < last; i++) this.leave(i)
    for (let k = 0; k < planned.length; k++) {
      if (t > planned[k]! + prices.giveUpAfter && gap[k]! + prices.leaveOut < gap[k + 1]!) {
        gap[k + 1] = gap[k]! + prices.leaveOut
        this.gapOffset[k + 1] = this.gapOffset[k]!
        this.gapLink[k + 1] = this.gapLink[k]!
      }
      if (t > planned[k]! + prices.openAfter) {
        gap[k] = INF
        other[k] = INF
      }
    }
    this.frame++
  }

  private best(): number {
    let least = INF
    const { gap, other, cost, base } = this
    for (let k = 0; k < gap.length; k++) least = Math.min(least, gap[k]!, other[k]!)
    const { first, last } = this.open((this.frame - 1) * FRAME_SECONDS)
    for (let s = base[first]!; s < base[last]!; s++) if (cost[s]! < least) least = cost[s]!
    return least
  }

  /** Calls [first, last) that may be said at `t`. Starts ascend, so the range only moves on. */
  private open(t: number): { first: number; last: number } {
    const { planned } = this.script
    const { openAfter, openBefore } = this.prices
    while (this.firstOpen < planned.length && t > planned[this.firstOpen]! + openAfter) this.firstOpen++
    while (this.lastOpen < planned.length && t > planned[this.lastOpen]! - openBefore) this.lastOpen++
    return { first: Math.min(this.firstOpen, this.lastOpen), last: this.lastOpen }
  }
  private firstOpen = 0
  private lastOpen = 0
  private shutUpTo = 0

  /** Forgets calls before `first`, so that what they hold on to can go. */
  private shut(first: number): void {
    for (let s = this.base[this.shutUpTo]!; s < this.base[first]!; s++) {
      this.cost[s] = INF
      this.pauseCost[s] = INF
      this.link[s] = null
      this.pauseLink[s] = null
    }
    this.shutUpTo = first
  }

  /** Cheapest way into call i at time t, as a candidate for its first frame. */
  private enter(i: number, t: number, limit: number): void {
    const { prices, gap, gapOffset, gapLink } = this
    const planned = this.script.planned[i]!
    this.enterCost = INF
    for (let k = Math.min(i + 1, gap.length - 1); k >= 0; k--) {
      const g = gap[k]!
      if (g > limit) continue
      const link = gapLink[k]!
      const lastEnd = link === null ? -INF : link.to * FRAME_SECONDS
      let price: number
      let offset = gapOffset[k]!
      if (k === i + 1) {
        if (link === null || link.call !== i || t - lastEnd > prices.againWithin) continue
        price = prices.again
      } else {
        const late = t - Math.max(planned + offset, lastEnd + prices.breath)
        const r = late / prices.spread
        price = prices.leaveOut * (i - k) + prices.tail * Math.log1p((r * r) / (2 * prices.tail))
        offset += prices.follow * Math.max(-1, Math.min(1, late))
        offset = Math.max(-prices.offsetMost, Math.min(prices.offsetMost, offset))
      }
      if (g + price < this.enterCost) {
        this.enterCost = g + price
        this.enterOffset = offset
        this.enterLink = link
      }
    }
  }
  private enterCost = INF
  private enterOffset = 0
  private enterLink: Link | null = null

  /** One frame on inside call i. Goes from its last frame to its first, so that what stood one frame ago is still there to be read. */
  private within(i: number, mask: Float32Array, maskAt: number, unit: number, silence: number, limit: number): void {
    const { prices, cost, from, offset, link, pauseCost, pauseFrom, pauseOffset, pauseLink, wordEnd, x, shift } = this
    const { frames } = this.script.templates[i]!
    const first = this.base[i]!
    const { most, stay, skip } = prices
    for (let s = this.base[i + 1]! - 1; s >= first; s--) {
      const j = s - first
      if (wordEnd[s] === 1) {
        const begin = cost[s]! + prices.pauseBegin
        const on = pauseCost[s]! + prices.pauseStay
        if (begin < on) {
          pauseFrom[s] = from[s]!
          pauseOffset[s] = offset[s]!
          pauseLink[s] = link[s]!
        }
        pauseCost[s] = Math.min(begin, on) > limit ? INF : Math.min(begin, on) + silence
      }
      let least = cost[s]! + stay
      let by = 0
      if (j > 0 && cost[s - 1]! < least) {
        least = cost[s - 1]!
        by = 1
      }
      if (j > 1 && cost[s - 2]! + skip < least) {
        least = cost[s - 2]! + skip
        by = 2
      }
      if (j > 0 && wordEnd[s - 1] === 1 && pauseCost[s - 1]! < least) {
        least = pauseCost[s - 1]!
        by = 3
      }
      if (j === 0 && this.enterCost < least) {
        least = this.enterCost
        by = 4
      }
      if (least > limit) {
        cost[s] = INF
        continue
      }
      if (by === 1 || by === 2) {
        from[s] = from[s - by]!
        offset[s] = offset[s - by]!
        link[s] = link[s - by]!
      } else if (by === 3) {
        from[s] = pauseFrom[s - 1]!
        offset[s] = pauseOffset[s - 1]!
        link[s] = pauseLink[s - 1]!
      } else if (by === 4) {
        from[s] = this.frame
        offset[s] = this.enterOffset
        link[s] = this.enterLink
      }
      const at = j * BANDS
      let sum = 0
      for (let b = 0; b < BANDS; b++) {
        const hidden = mask[maskAt + b]!
        const r = frames[at + b]! + shift[b]!
        const d = Math.abs(x[b]! - (r > hidden ? r : hidden))
        sum += d < most ? d : most
      }
      cost[s] = least + (unit * sum) / BANDS
    }
  }

  /** Out of call i into the gap after it; or, from the end of one of its words, back before it. */
  private leave(i: number): void {
    const { prices, cost, base, gap, wordEnd, from } = this
    const end = base[i + 1]!
    for (let s = end - 1; s >= Math.max(base[i]!, end - 2); s--) {
      const out = cost[s]! + (s === end - 1 ? 0 : prices.skip)
      if (out < gap[i + 1]!) this.intoGap(i + 1, out, s, i, false)
    }
    for (let s = base[i]!; s < end - 1; s++) {
      if (wordEnd[s] !== 1 || !(cost[s]! + prices.corrected < gap[i]!)) continue
      if ((this.frame + 1 - from[s]!) * FRAME_SECONDS <= prices.correctedAfter) continue
      this.intoGap(i, cost[s]! + prices.corrected, s, i, true)
    }
  }

  private intoGap(k: number, cost: number, s: number, call: number, partial: boolean): void {
    this.gap[k] = cost
    this.gapOffset[k] = this.offset[s]!
    this.gapLink[k] = { before: this.link[s]!, call, from: this.from[s]!, to: this.frame + 1, partial }
  }

  /** The best hypothesis after the frames so far. */
  standing(): Standing {
    const { gap, other, cost, pauseCost, base } = this
    let least = INF
    let found: Standing = { link: null, call: -1, share: 0, from: 0 }
    for (let k = 0; k < gap.length; k++) {
      if (gap[k]! < least) {
        least = gap[k]!
        found = { link: this.gapLink[k]!, call: -1, share: 0, from: 0 }
      }
      if (other[k]! < least) {
        least = other[k]!
        found = { link: this.otherLink[k]!, call: -1, share: 0, from: 0 }
      }
    }
    let state = -1
    let paused = false
    for (let s = base[Math.min(this.firstOpen, this.lastOpen)]!; s < base[this.lastOpen]!; s++) {
      if (cost[s]! < least) {
        least = cost[s]!
        state = s
        paused = false
      }
      if (pauseCost[s]! < least) {
        least = pauseCost[s]!
        state = s
        paused = true
      }
    }
    if (state < 0) return found
    let i = this.firstOpen
    while (base[i + 1]! <= state) i++
    return {
      link: paused ? this.pauseLink[state]! : this.link[state]!,
      call: i,
      share: (state - base[i]! + 1) / (base[i + 1]! - base[i]!),
      from: paused ? this.pauseFrom[state]! : this.from[state]!,
    }
  }

  /** At the end of the take: calls heard, in the order they were said. */
  finish(mostOf?: number): Link[] {
    return linksOf(this.standing(), this.frame, mostOf)
  }
}
