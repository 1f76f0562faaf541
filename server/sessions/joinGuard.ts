import type { EpochTime, Seconds } from '../units.ts'

const FREE_TRIES = 5
const WITHIN: Seconds = 60
const FIRST_LOCK: Seconds = 60
const LONGEST_LOCK: Seconds = 900
/** Addresses remembered; the oldest go first, so that nobody fills the memory by changing address. */
const MOST_ADDRESSES = 2000

interface Tries {
  wrong: EpochTime[]
  lock: Seconds
  until: EpochTime
}

/**
 * Wrong join codes by address: five within a minute lock the address for a minute, the next five for two, and so on up to a quarter of an hour. A right
 * code does not wipe the slate, so that a guesser cannot rest on one of his own.
 */
export class JoinGuard {
  private readonly addresses = new Map<string, Tries>()

  /** Seconds this address must wait; 0 when it may try. */
  wait(address: string, now: EpochTime): Seconds {
    return Math.max(0, (this.addresses.get(address)?.until ?? 0) - now)
  }

  /** Takes a wrong code down; the seconds to wait from now, 0 while tries are left. */
  wrong(address: string, now: EpochTime): Seconds {
    const tries = this.addresses.get(address) ?? { wrong: [], lock: FIRST_LOCK, until: 0 }
    tries.wrong = [...tries.wrong.filter((one) => one > now - WITHIN), now]
    if (tries.wrong.length >= FREE_TRIES) {
      tries.wrong = []
      tries.until = (now + tries.lock) as EpochTime
      tries.lock = Math.min(LONGEST_LOCK, tries.lock * 2)
    }
    this.addresses.delete(address)
    this.addresses.set(address, tries)
    if (this.addresses.size > MOST_ADDRESSES) this.addresses.delete(this.addresses.keys().next().value!)
    return this.wait(address, now)
  }
}
