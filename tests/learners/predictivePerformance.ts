import { seededNormal } from '../seededRandom.ts'
import type { Learner, Meeting } from './learner.ts'
import { WORTH } from './learner.ts'

/**
 * The predictive performance equation, Walsh et al., Cognitive Science 42(S3), 2018: M = N^c T^(−d), d = b + m · mean(1 / ln(lag + e)), T the times since
 * each meeting weighted by t^(−x), p = 1 / (1 + e^((τ − M) / s)). Form and values from memory; threshold and noise set so that one hearing gives a third to
 * a half the next day (docs/method/learning.md). Time is the clock's.
 */
const C = 0.1
const X = 0.6
const B = 0.04
const M = 0.08
const TAU = 0.69
const S = 0.075
/** Link, spread and latency: as in the other model, on this model's own scale. */
const LINK = 0.03
const LATENCY = 1.35

class Trace {
  private readonly at: number[] = []
  private weight = 0
  private lags = 0

  strength(now: number, b: number): number {
    if (this.at.length === 0) return 0
    let [weights, times] = [0, 0]
    for (const at of this.at) {
      const t = Math.max(1, now - at)
      const w = t ** -X
      weights += w
      times += w * t
    }
    const lag = this.at.length > 1 ? this.lags / (this.at.length - 1) : 0
    return this.weight ** C * (times / weights) ** -(b + M * lag)
  }

  meet(now: number, worth: number): void {
    const last = this.at.at(-1)
    if (last !== undefined) this.lags += 1 / Math.log(Math.max(0, now - last) + Math.E)
    this.at.push(now)
    this.weight += worth
  }
}

export function predictivePerformance(calls: number, random: () => number): Learner {
  const b = B * Math.max(0.3, 1 + 0.15 * seededNormal(random))
  const tau = TAU + 0.02 * seededNormal(random)
  const pace = LATENCY * Math.max(0.5, 1 + 0.15 * seededNormal(random))
  const easy = Array.from({ length: calls }, () => 0.04 * seededNormal(random))
  const traces = Array.from({ length: calls }, () => new Trace())
  const links = Array.from({ length: calls }, () => new Trace())
  let wall = 0
  const strength = (call: number, chained: boolean) => {
    const own = traces[call]!.strength(wall, b) + easy[call]!
    return chained ? own + LINK * (1 + links[call]!.strength(wall, b)) : own
  }
  return {
    practise(to) {
      wall = to
    },
    rest(to) {
      wall = to
    },
    meet(call, how: Meeting, chained) {
      traces[call]!.meet(wall, WORTH[how])
      if (chained) links[call]!.meet(wall, WORTH[how])
    },
    chance: (call, chained) => 1 / (1 + Math.exp((tau - strength(call, chained)) / S)),
    latency: (call, chained) => 0.4 + pace * Math.exp(-(strength(call, chained) - tau) / S / 4),
  }
}
