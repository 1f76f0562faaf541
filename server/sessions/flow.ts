import type { EpochTime } from '../units.ts'

/**
 * A bucket that fills at `rate` a second up to `burst`: each message takes one, and an empty bucket means a flood. Pages send 25 a second at most, while
 * their clock settles.
 */
export class Flow {
  private left: number
  private at: EpochTime
  private readonly rate: number
  private readonly burst: number

  constructor(q: { rate: number; burst: number; now: EpochTime }) {
    if (!(q.rate > 0 && q.burst >= 1)) throw new RangeError(`Flow: rate ${q.rate}, burst ${q.burst}`)
    this.rate = q.rate
    this.burst = q.burst
    this.left = q.burst
    this.at = q.now
  }

  /** Takes one; false when there is none. */
  take(now: EpochTime): boolean {
    this.left = Math.min(this.burst, this.left + this.rate * Math.max(0, now - this.at))
    this.at = now
    if (this.left < 1) return false
    this.left -= 1
    return true
  }
}
