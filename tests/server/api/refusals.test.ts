import { describe, expect, it } from 'vitest'
import type { LearnView } from '../../../server/api/learnWire.ts'
import type { Problem } from '../../../server/api/wire.ts'
import { demoServer } from './demoServer.ts'

const { api, post, stage } = demoServer('refusals-')

const problemOf = async (answer: Promise<Response>) => {
  const response = await answer
  const { detail } = (await response.json()) as Problem
  return `${response.status} ${detail}`
}
const eventOn = (date: string, more: object = {}) =>
  post('/events', {
    name: 'Somewhere',
    date,
    time: '10:00',
    zone: 'UTC',
    minutes: 20,
    morning: true,
    stages: [{ stage: stage(), recce: null }],
    ...more,
  })

describe('an event', () => {
  it('more than a year away is refused: planned day by day it would fill the memory', async () => {
    expect(await problemOf(eventOn('9999-12-31'))).toMatch(/^400 9999-12-31 is more than a year away; check the year/)
  })

  it('a year and a day away is the farthest that is planned', async () => {
    expect((await eventOn('2031-03-18')).ok).toBe(true)
    expect(await problemOf(eventOn('2031-03-19'))).toMatch(/^400 2031-03-19 is more than a year away/)
  })

  it('on a day that no calendar has is refused, its recce too', async () => {
    expect(await problemOf(eventOn('2030-02-30'))).toMatch(/^400 There is no day 2030-02-30/)
    const stages = [{ stage: stage(), recce: '2030-02-31' }]
    expect(await problemOf(eventOn('2030-03-20', { stages }))).toMatch(/^400 There is no day 2030-02-31/)
  })

  it('at a time or in a zone that is none is refused in plain words', async () => {
    expect(await problemOf(eventOn('2030-03-20', { time: '99:99' }))).toMatch(/^400 "99:99" is no time of the day/)
    expect(await problemOf(eventOn('2030-03-20', { zone: 'Mars/Base' }))).toMatch(
      /^400 This machine knows no time zone/,
    )
  })
})

describe('a browser whose time zone this machine does not know', () => {
  it('may learn all the same', async () => {
    const response = await api(`/stages/${stage()}/learn?zone=Mars/Base`)
    expect([response.status, ((await response.json()) as LearnView).stage]).toEqual([200, stage()])
  })
})

describe('what is too large', () => {
  it('is told the most that is read in that place', async () => {
    const captions = new Uint8Array(9_000_000)
    expect(await problemOf(api(`/stages/${stage()}/notes/captions`, { method: 'PUT', body: captions }))).toMatch(
      /^413 This is larger than 8 MB/,
    )
  })
})

describe('an address that cannot be read', () => {
  it('leads nowhere, and is no fault of the server', async () => {
    expect(await problemOf(api('/stages/%E0%A4%A'))).toBe('400 There is nothing of that name.')
  })
})
