import { describe, expect, it } from 'vitest'
import { ServerClock } from '../../client/playback/serverClock.ts'

// NTP, RFC 5905 section 8: offset theta = ((T2 − T1) + (T3 − T4)) / 2, delay delta = (T4 − T1) − (T3 − T2). Formulas from memory.
const theta = (t1: number, t2: number, t3: number, t4: number) => (t2 - t1 + (t3 - t4)) / 2
const delta = (t1: number, t2: number, t3: number, t4: number) => t4 - t1 - (t3 - t2)

describe('an exchange in the manner of NTP (RFC 5905)', () => {
  const times = [
    [10, 110.2, 110.21, 10.35],
    [5, 5.004, 5.0041, 5.0099],
    [1000, 3.5, 3.6, 1000.3],
  ] as const

  it.each(times)('of %f, %f, %f, %f gives its offset', (t1, t2, t3, t4) => {
    const clock = new ServerClock()
    clock.add({ t1, t2, t3, t4 })
    // The floors of one sample are aged from the middle of the exchange: 60 ppm of half of it, far below a microsecond of offset since both ways age alike.
    expect(clock.serverAt(t4) - t4).toBeCloseTo(theta(t1, t2, t3, t4), 6)
  })

  it.each(times)('of %f, %f, %f, %f gives its delay', (t1, t2, t3, t4) => {
    const clock = new ServerClock()
    clock.add({ t1, t2, t3, t4 })
    expect(clock.floorSum).toBeCloseTo(delta(t1, t2, t3, t4), 4)
  })
})
