import { seededNormal } from '../seededRandom.ts'
import type { Learner, Meeting } from './learner.ts'
import { WORTH } from './learner.ts'

/**
 * Pavlik & Anderson, Cognitive Science 29(4), 2005: m = ln Σ b_k ψ_k^(−d_k), d_k = c e^(m at k) + a, p = 1 / (1 + e^((τ − m) / s)); time between sessions
 * counted at h. Values from memory; spreads between people ours (docs/method/learning.md).
 */
const C = 0.217
const A = 0.177
const TAU = -0.704
const S = 0.255
const H = 0.025
/** Latency 0.4 s + F e^(−m): ACT-R, from memory. */
const FIXED = 0.4
const F = 1
/** The link from the call before adds this much, by person, to the activation when it is known itself (docs/method/learning.md; ours). */
const LINK_LEAST = 0.2
const LINK_MOST = 0.6
const LEAST_SECONDS = 1

class Trace {
  private readonly at: number[] = []
  private readonly decay: number[] = []
  private readonly worth: number[] = []

  activation(now: number): number {
    let sum = 0
    for (let k = 0; k < this.at.length; k++) {
      sum += this.worth[k]! * Math.exp(-this.decay[k]! * Math.log(Math.max(LEAST_SECONDS, now - this.at[k]!)))
    }
    return Math.log(sum)
  }

  meet(now: number, worth: number, c: number, a: number): void {
    const before = this.at.length === 0 ? Number.NEGATIVE_INFINITY : this.activation(now)
    this.at.push(now)
    // The very next second a trace is at its strongest; more would overflow the decay.
    this.decay.push(c * Math.exp(Math.min(before, 1.5)) + a)
    this.worth.push(worth)
  }
}

export function pavlikAnderson(calls: number, random: () => number): Learner {
  const c = C * (1 + 0.2 * seededNormal(random))
  const a = Math.max(0.05, A * (1 + 0.12 * seededNormal(random)))
  const tau = TAU + 0.15 * seededNormal(random)
  const h = H * Math.max(0.2, 1 + 0.25 * seededNormal(random))
  const f = F * Math.max(0.3, 1 + 0.2 * seededNormal(random))
  const linked = LINK_LEAST + (LINK_MOST - LINK_LEAST) * random()
  const easy = Array.from({ length: calls }, (_, i) => {
    const edge = Math.min(i, calls - 1 - i)
    return 0.3 * seededNormal(random) + (edge < 4 ? 0.15 : 0)
  })
  const traces = Array.from({ length: calls }, () => new Trace())
  const links = Array.from({ length: calls }, () => new Trace())
  /** Seconds as they are felt: whole in practice, a fraction h between. */
  let felt = 0
  let wall = 0
  const activation = (call: number, chained: boolean) => {
    const own = traces[call]!.activation(felt) + easy[call]!
    if (!chained) return own
    const link = 1 / (1 + Math.exp((tau - links[call]!.activation(felt)) / S))
    return own + linked * link
  }
  return {
    practise(to) {
      felt += to - wall
      wall = to
    },
    rest(to) {
      felt += wall === 0 ? 0 : h * (to - wall)
      wall = to
    },
    meet(call, how: Meeting, chained) {
      traces[call]!.meet(felt, WORTH[how], c, a)
      if (chained) links[call]!.meet(felt, WORTH[how], c, a)
    },
    chance: (call, chained) => 1 / (1 + Math.exp((tau - activation(call, chained)) / S)),
    latency: (call, chained) => FIXED + f * Math.exp(-activation(call, chained)),
  }
}
