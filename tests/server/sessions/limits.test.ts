import { describe, expect, it } from 'vitest'
import { Flow } from '../../../server/sessions/flow.ts'
import { JoinGuard } from '../../../server/sessions/joinGuard.ts'

describe('wrong join codes', () => {
  it('lock an address at the fifth within a minute, for a minute', () => {
    const guard = new JoinGuard()
    const waits = [0, 1, 2, 3, 4].map((t) => guard.wrong('a', 1000 + t))
    expect(waits).toEqual([0, 0, 0, 0, 60])
    expect(guard.wait('a', 1034)).toBe(30)
    expect(guard.wait('a', 1065)).toBe(0)
  })

  it('lock twice as long each time, to a quarter of an hour', () => {
    const guard = new JoinGuard()
    let now = 0
    const locks = Array.from({ length: 6 }, () => {
      let wait = 0
      for (let i = 0; i < 5; i++) wait = guard.wrong('a', now)
      now += wait + 1
      return wait
    })
    expect(locks).toEqual([60, 120, 240, 480, 900, 900])
  })

  it('do not lock others, nor the patient', () => {
    const guard = new JoinGuard()
    for (let t = 0; t < 10; t++) guard.wrong('slow', t * 61)
    for (let t = 0; t < 5; t++) guard.wrong('a', 700)
    expect([guard.wait('slow', 611), guard.wait('b', 700)]).toEqual([0, 0])
  })

  it('of a thousand addresses a second fill no memory', () => {
    const guard = new JoinGuard()
    for (let i = 0; i < 10_000; i++) guard.wrong(`10.0.${i >> 8}.${i & 255}`, 5)
    expect((guard as unknown as { addresses: Map<string, unknown> }).addresses.size).toBe(2000)
  })
})

describe('a flow of messages', () => {
  it('lets a burst through, then its rate', () => {
    const flow = new Flow({ rate: 40, burst: 120, now: 0 })
    let taken = 0
    for (let i = 0; i < 10_000; i++) if (flow.take(i / 10_000)) taken += 1
    expect(taken).toBe(159) // 120 at once and 40 in the second, less the last one not yet whole
  })

  it('refuses a rate that lets nothing through', () => {
    expect(() => new Flow({ rate: 0, burst: 1, now: 0 })).toThrow(RangeError)
  })
})
