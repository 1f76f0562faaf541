import type { EpochTime, Seconds } from '../../server/units.ts'

/** Seconds on this page's own steady clock (performance.now() / 1000). */
export type PageTime = number & { readonly clock?: 'page' }

/** One exchange in the manner of NTP (RFC 5905, section 8): asked at t1 and answered at t4 by the page's clock; received at t2 and sent at t3 by the server's. */
export interface Exchange {
  readonly t1: PageTime
  readonly t2: EpochTime
  readonly t3: EpochTime
  readonly t4: PageTime
}

interface Sample {
  /** Page time halfway through the exchange. */
  readonly at: PageTime
  /** t2 − t1: delay to the server plus the offset. */
  readonly up: Seconds
  /** t4 − t3: delay from the server less the offset. */
  readonly down: Seconds
}

/** Samples kept. Longer, and the trust in old floors would be in the rate alone. */
const KEPT: Seconds = 180
/** No message arrives before it was sent; beyond this the page's clock has stopped or jumped. */
const STEP: Seconds = 0.03
/** How fast an old floor is let rise, parts per one: before the rate is known, while it settles, and after. */
const TRUST = [60e-6, 20e-6, 3e-6] as const
const RATE_FROM: Seconds = 20
const RATE_SETTLED: Seconds = 60
/** Clocks of phones and laptops are within this of each other (common practice, no source), and the rate is never taken beyond the second. */
const LIKELY_RATE = 60e-6
const MOST_RATE = 200e-6
const RATE_GAIN = 0.3
/** Wall clocks are read in whole milliseconds, twice. */
const WALL_STEP: Seconds = 0.002
/** How well a floor of half the samples is known: a share of the floor sum, within bounds. */
const FLOOR_NOISE = { share: 0.05, least: 0.0005, most: 0.02 }
/** Exchanges until the clock may be used at all, and until it is called exact. */
export const USABLE = 5
export const EXACT = 20
/** Above this sum of the least delays half of a lasting difference between the two ways may be heard. */
export const SLOW_NETWORK: Seconds = 0.15

/**
 * The server's time on a page. The least one-way delay seen in each direction is kept by itself ("two floors"), since a round trip is short only if both
 * ways were lucky at once:
 *   up = t2 − t1 = offset + delay,  down = t4 − t3 = −offset + delay,  offset = (min up − min down) / 2,
 * with samples carried to now at the rate k between the clocks, found from the floors of the newer and the older half:
 *   k += gain · g · (offset_new − offset_old) / dt,  g = σ² / (σ² + (j / dt)²).
 * A lasting difference between the two ways stays in the offset by half; no exchange of times can see it (RFC 5905 has the same limit).
 */
export class ServerClock {
  private samples: Sample[] = []
  private rate = 0
  private offset: Seconds = 0
  private reference: PageTime = 0
  private sum: Seconds = Number.POSITIVE_INFINITY
  private since: PageTime | null = null
  private strange = 0
  private total = 0
  /** After waking: a clock of the new exchanges alone, until they bear out what the wall clock said of the sleep. */
  private fresh: ServerClock | null = null

  /** Takes an exchange in. Throws RangeError when a time is no finite number or the answer came before the question. */
  add({ t1, t2, t3, t4 }: Exchange): void {
    if (!Number.isFinite(t1 + t2 + t3 + t4)) throw new RangeError(`ServerClock: times ${t1}, ${t2}, ${t3}, ${t4}`)
    if (t4 < t1) throw new RangeError(`ServerClock: answered at ${t4}, before it was asked at ${t1}`)
    if (this.fresh !== null) {
      this.fresh.add({ t1, t2, t3, t4 })
      if (this.fresh.total >= EXACT) this.judge(t4)
      return
    }
    const sample: Sample = { at: (t1 + t4) / 2, up: t2 - t1, down: t4 - t3 }
    if (this.total > 0) {
      const offset = this.offsetAt(sample.at)
      if (sample.up - offset < -STEP || sample.down + offset < -STEP) {
        // One such sample may be a server's slip; a second says that this page's clock was frozen or set.
        this.strange += 1
        if (this.strange < 2) return
        this.reset()
      }
    }
    this.strange = 0
    this.since ??= sample.at
    this.total += 1
    this.samples.push(sample)
    while (this.samples[0]!.at < sample.at - KEPT) this.samples.shift()
    this.settle(t4)
  }

  private settle(now: PageTime): void {
    const age = now - this.since!
    const trust = TRUST[age < RATE_FROM ? 0 : age < RATE_SETTLED ? 1 : 2]!
    if (age >= RATE_FROM) this.learnRate(now)
    const all = this.floors(0, this.samples.length, now, trust)
    this.offset = (all.up - all.down) / 2
    this.sum = all.up + all.down
    this.reference = now
  }

  private learnRate(now: PageTime): void {
    const middle = this.samples.length >> 1
    if (middle < 4) return
    const older = this.floors(0, middle, now, 0)
    const newer = this.floors(middle, this.samples.length, now, 0)
    const dt = newer.at - older.at
    if (!(dt > 0)) return
    const noise = Math.min(FLOOR_NOISE.most, Math.max(FLOOR_NOISE.least, FLOOR_NOISE.share * this.sum))
    const gain = LIKELY_RATE ** 2 / (LIKELY_RATE ** 2 + (noise / dt) ** 2)
    const drift = ((newer.up - newer.down) / 2 - (older.up - older.down) / 2) / dt
    this.rate = Math.max(-MOST_RATE, Math.min(MOST_RATE, this.rate + RATE_GAIN * gain * drift))
  }

  /** Least up and down of samples [from, to), carried to `now` at the rate known; `at` is their mean time. */
  private floors(from: number, to: number, now: PageTime, trust: number) {
    let up = Number.POSITIVE_INFINITY
    let down = Number.POSITIVE_INFINITY
    let at = 0
    for (let i = from; i < to; i++) {
      const one = this.samples[i]!
      const age = now - one.at
      up = Math.min(up, one.up + this.rate * age + trust * age)
      down = Math.min(down, one.down - this.rate * age + trust * age)
      at += one.at
    }
    return { up, down, at: at / (to - from) }
  }

  private offsetAt(page: PageTime): Seconds {
    return this.offset + this.rate * (page - this.reference)
  }

  /**
   * The page slept and its clock stood still, or was set: the wall clock went `jump` seconds further than the page's. What was learnt is carried over it at
   * once, then held against twenty new exchanges: their floors bound the offset to within (their sum − the old sum) / 2 of their own estimate. What lies
   * outside is dropped for the new. Throws RangeError when `jump` is no finite number.
   */
  woke(jump: Seconds): void {
    if (!Number.isFinite(jump)) throw new RangeError(`ServerClock: jump ${jump}`)
    if (this.total < EXACT) {
      this.reset()
      return
    }
    this.samples = this.samples.map(({ at, up, down }) => ({ at, up: up + jump, down: down - jump }))
    this.offset += jump
    this.fresh = new ServerClock()
    this.fresh.rate = this.rate
  }

  private judge(now: PageTime): void {
    const fresh = this.fresh!
    this.fresh = null
    const room = Math.max(0, fresh.sum - this.sum) / 2 + WALL_STEP
    if (Math.abs(fresh.offsetAt(now) - this.offsetAt(now)) > room) {
      this.reset()
      this.samples = fresh.samples
      this.since = fresh.since
    } else this.samples.push(...fresh.samples)
    this.total = Math.max(this.total, fresh.total)
    this.settle(now)
  }

  /** Forgets everything, as when the page's clock was seen to jump. The rate of the crystal stays. */
  reset(): void {
    this.fresh = null
    this.samples = []
    this.sum = Number.POSITIVE_INFINITY
    this.since = null
    this.strange = 0
    this.total = 0
  }

  /** Server time at a page time. Only after `usable`. */
  serverAt(page: PageTime): EpochTime {
    return (page + this.offsetAt(page)) as EpochTime
  }

  /** Page time at which the server's clock shows `server`: the inverse of serverAt to within rate² · offset, under a nanosecond an hour ahead. */
  pageAt(server: EpochTime): PageTime {
    const first = server - this.offset
    return server - this.offsetAt(first - this.rate * (first - this.reference))
  }

  /** Exchanges taken in since the last reset. */
  get exchanges(): number {
    return this.total
  }
  get usable(): boolean {
    return this.total >= USABLE
  }
  get exact(): boolean {
    return this.total >= EXACT && this.sum < SLOW_NETWORK
  }
  /** Least delay there and back; Infinity before the first exchange. */
  get floorSum(): Seconds {
    return this.sum
  }
  /** Seconds gained on the server's clock a second, negated: what is learnt of the two crystals. */
  get drift(): number {
    return this.rate
  }
}

/**
 * Seconds until the next exchange, `since` seconds after the first: eight in quick succession, then ten a second to 2 s, four to 10 s, then one.
 * Throws RangeError when `since` is no number >= 0.
 */
export function exchangePause(done: number, since: Seconds): Seconds {
  if (!(since >= 0)) throw new RangeError(`exchangePause: since ${since}`)
  if (done < 8) return 0.04
  return since < 2 ? 0.1 : since < 10 ? 0.25 : 1
}
