import { describe, expect, it } from 'vitest'
import { EXACT, exchangePause, ServerClock, USABLE } from '../../../client/playback/serverClock.ts'
import { seededRandom } from '../../seededRandom.ts'
import { farAway, percentile, simulatedPhone, type Way, wifi } from './simulatedNetwork.ts'

const PHONES = 200

/** Errors of many phones in milliseconds, each with a clock of its own, after what `live` does with them. */
function errors(up: () => Way, down: () => Way, live: (phone: ReturnType<typeof simulatedPhone>) => void): number[] {
  const random = seededRandom(11)
  return Array.from({ length: PHONES }, () => {
    const offset = (random() - 0.5) * 20_000
    const drift = (random() - 0.5) * 1e-4
    const phone = simulatedPhone({ random, up: up(), down: down(), offset, drift, clock: new ServerClock() })
    live(phone)
    return phone.error() * 1000
  })
}
const far = () => farAway
const wifiUp = () => wifi(0.002, 0.006)
const wifiDown = () => wifi(0.0018, 0.004)

describe('the server clock on a phone, against known truth', () => {
  it('is within 10 ms at p95 after 10 s with 200 ± 100 ms each way and 2 % lost', () => {
    expect(
      percentile(
        errors(far, far, (phone) => phone.live(10)),
        0.95,
      ),
    ).toBeLessThan(10)
  })

  it('is within 2 ms at p99 after 10 s of club wifi', () => {
    expect(
      percentile(
        errors(wifiUp, wifiDown, (phone) => phone.live(10)),
        0.99,
      ),
    ).toBeLessThan(2)
  })

  it('learns the rate of its crystal: ten minutes on it is no worse', () => {
    expect(
      percentile(
        errors(far, far, (phone) => phone.live(600)),
        0.95,
      ),
    ).toBeLessThan(10)
  })

  it('is right 3 s after waking, on the worst network too, when the wall clock ran on', () => {
    const slept = errors(far, far, (phone) => {
      phone.live(60)
      phone.sleep(60, 0)
      phone.live(3)
    })
    expect(percentile(slept, 0.95)).toBeLessThan(10)
  })

  it('does not believe a wall clock that was set while it slept', () => {
    const slept = errors(wifiUp, wifiDown, (phone) => {
      phone.live(60)
      phone.sleep(60, 0.3)
      phone.live(3)
    })
    expect(percentile(slept, 0.95)).toBeLessThan(5)
  })

  it('sees by itself that its clock stood still', () => {
    const slept = errors(wifiUp, wifiDown, (phone) => {
      phone.live(60)
      phone.sleep(60, null)
      phone.live(10)
    })
    expect(percentile(slept, 0.95)).toBeLessThan(5)
  })
})

describe('one exchange after another', () => {
  const still = (t: number) => ({ t1: t, t2: t + 1000.01, t3: t + 1000.01, t4: t + 0.02 })

  it('takes half the difference of the two ways', () => {
    const clock = new ServerClock()
    clock.add(still(0))
    expect(clock.serverAt(5)).toBeCloseTo(1005, 3)
    expect(clock.floorSum).toBeCloseTo(0.02, 5)
  })

  it('maps back what it mapped forth', () => {
    const clock = new ServerClock()
    for (let i = 0; i < 100; i++) clock.add({ t1: i, t2: 1.00004 * i + 9, t3: 1.00004 * i + 9, t4: i })
    expect(clock.drift).toBeGreaterThan(20e-6)
    expect(clock.serverAt(clock.pageAt(130))).toBeCloseTo(130, 6)
  })

  it('says when it may be used, and when it is exact', () => {
    const clock = new ServerClock()
    const states = Array.from({ length: EXACT }, (_, i) => {
      clock.add(still(i))
      return [clock.usable, clock.exact]
    })
    expect(states.filter(([usable]) => usable)).toHaveLength(EXACT - USABLE + 1)
    expect(states.filter(([, exact]) => exact)).toHaveLength(1)
  })

  it('lets one impossible sample pass and starts anew on the second', () => {
    const clock = new ServerClock()
    for (let i = 0; i < 30; i++) clock.add(still(i))
    const frozen = (t: number) => ({ t1: t, t2: t + 1060, t3: t + 1060, t4: t + 0.02 })
    clock.add(frozen(31))
    expect(clock.exchanges).toBe(30)
    clock.add(frozen(32))
    expect(clock.serverAt(32)).toBeCloseTo(1092, 1)
  })

  it('refuses what is no time', () => {
    const clock = new ServerClock()
    expect(() => clock.add({ t1: Number.NaN, t2: 0, t3: 0, t4: 0 })).toThrow(RangeError)
    expect(() => clock.add({ t1: 2, t2: 0, t3: 0, t4: 1 })).toThrow(RangeError)
    expect(() => clock.woke(Number.NaN)).toThrow(RangeError)
  })

  it('asks often at first, then once a second', () => {
    expect([exchangePause(0, 0), exchangePause(9, 1), exchangePause(30, 5), exchangePause(60, 10)]).toEqual([
      0.04, 0.1, 0.25, 1,
    ])
  })
})
