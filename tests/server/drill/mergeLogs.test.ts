import { describe, expect, it } from 'vitest'
import { mergeLogs } from '../../../server/drill/mergeLogs.ts'
import { rideCosts } from '../../../server/drill/rideCosts.ts'

const line = (id: string, device: string, turn: number, at: number) => ({ id, device, turn, at })
const order = (lines: ReturnType<typeof line>[]) =>
  mergeLogs(lines)
    .map((one) => one.id)
    .join('')

describe('logs of two devices', () => {
  it('fall into one order by time', () => {
    expect(order([line('a', 'x', 1, 10), line('c', 'x', 2, 30), line('b', 'y', 1, 20)])).toBe('abc')
  })

  it('count a line that came twice once', () => {
    const both = [line('a', 'x', 1, 10), line('b', 'x', 2, 20)]
    expect(order([...both, ...both])).toBe('ab')
  })

  it('keep each device its own order when its clock was set back', () => {
    expect(order([line('a', 'x', 1, 1000), line('b', 'x', 2, 10), line('c', 'y', 1, 500)])).toBe('cab')
  })

  it('are the same whichever is merged into the other', () => {
    const x = [line('a', 'x', 1, 10), line('b', 'x', 2, 20)]
    const y = [line('c', 'y', 1, 10), line('d', 'y', 2, 15)]
    expect(order([...x, ...y])).toBe(order([...y, ...x]))
  })
})

describe('what a ride costs', () => {
  const calls = [
    { start: 0, end: 2, earliest: -1 },
    { start: 20, end: 22, earliest: 18 },
    { start: 23, end: 25, earliest: 21 },
  ]
  it('is the time from call to call, the last to the finish', () => {
    expect(rideCosts(calls, 30).full).toEqual([20, 3, 7])
  })

  it('is less the empty seconds up to two before the next call may begin', () => {
    expect(rideCosts(calls, 30).condensed).toEqual([6, 3, 7])
  })

  it('names a call that starts before the one before it', () => {
    expect(() => rideCosts([calls[1]!, calls[0]!], 30)).toThrow(/call 1/)
  })
})
