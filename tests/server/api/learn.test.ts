import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { AnswersTaken, LearnView } from '../../../server/api/learnWire.ts'
import { type Running, startServer } from '../../../server/api/serve.ts'
import type { StageDetail } from '../../../server/api/wire.ts'
import { asking } from '../../askServer.ts'

const NOTES = '5 left, 60\n3 right long, 40\n6 left over crest, 100\n2 right tightens, 30\n4 left'
const EVENING = Date.parse('2026-06-10T19:00Z') / 1000
const DAY = 86_400
let now = EVENING
let folder: string
let server: Running

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'say-when-learn-api-'))
  server = await startServer({ port: 0, lan: false, library: folder, engine: 'silent', now: () => now, log: () => {} })
})
afterAll(async () => {
  await server.stop()
  rmSync(folder, { recursive: true, force: true })
})

const ask = asking(() => server.address)
const begin = (title: string, notes = NOTES) => ask<StageDetail>('POST', '/stages', { title, notes })
let turn = 0
const answer = (stage: string, call: number, more: object = {}) =>
  ask<AnswersTaken>('POST', `/stages/${stage}/learn/answers`, {
    answers: [{ id: `answer-${turn++}-x`, call, how: 'self', grade: 'in time', seconds: 3, ...more }],
  })
const view = (stage: string) => ask<LearnView>('GET', `/stages/${stage}/learn`)

describe('answers', () => {
  it('are judged here when typed, and the next item comes with the answer', async () => {
    const { id } = await begin('Typed')
    const right = await answer(id, 1, { how: 'typed', text: '3 right long' })
    expect(right.graded[0]).toMatchObject({ grade: 'in time', answer: '3 right long, 40' })
    expect(right.next!.asks).toMatch(/said here|first call/)
    expect((await answer(id, 1, { how: 'typed', text: '3 left long' })).graded[0]!.grade).toBe('no')
  })

  it('count once when sent twice', async () => {
    const { id } = await begin('Twice')
    const sent = { id: 'the-same-answer' }
    await answer(id, 0, sent)
    await answer(id, 0, sent)
    expect((await view(id)).calls[0]!.met).toBe(1)
  })

  it('given after the clock was set back count as a second later, and say so', async () => {
    const { id } = await begin('Clock')
    await answer(id, 0)
    now -= 3 * 3600
    const { graded } = await answer(id, 0)
    now += 3 * 3600
    expect([graded[0]!.setBack, (await view(id)).calls[0]!.met]).toEqual([true, 2])
  })

  it('are checked one in ten', async () => {
    const { id } = await begin('Checked')
    await answer(id, 0)
    const checks: number[] = []
    for (let i = 0; i < 30; i++) if ((await answer(id, 0)).next!.check) checks.push(i)
    expect(checks.map((at) => at - checks[0]!)).toEqual([0, 10, 20])
  })

  it('about a call that is not there are refused with a way out', async () => {
    const { id } = await begin('Few', '5 left')
    await expect(answer(id, 7)).rejects.toThrow(/409.*Reload/)
  })
})

describe('edited notes', () => {
  it('keep history through a new title, a reworded, a changed and a moved call', async () => {
    const { id } = await begin('Edited')
    for (let call = 0; call < 5; call++) await answer(id, call)
    await ask('PATCH', `/stages/${id}`, { title: 'Renamed' })
    const edited = '4 left, 30\nleft 5, 80\n4 right long, 40\n6 left over crest, 100\n2 right tightens'
    await ask('PUT', `/stages/${id}/notes`, { text: edited, base: 0 })
    const { calls } = await view(id)
    expect(calls.map((call) => [call.met, call.changed])).toEqual([
      [1, false],
      [1, false],
      [1, true],
      [1, false],
      [1, false],
    ])
    const next = await ask<{ call: number }>('GET', `/stages/${id}/learn/next`)
    expect(next.call).toBe(2)
  })
})

describe('notes rewritten after half the learning', () => {
  const before = [
    '5 left',
    '3 right long',
    '6 left over crest',
    '2 right tightens',
    '4 left',
    '4 left',
    'hairpin right',
    'square left',
  ]
  // The first half stands, two new calls come in, the two like ones are torn apart and one of them is gone, the end is turned round.
  const after = [
    '5 left',
    '3 right long',
    '6 right',
    '6 left over crest',
    '2 right tightens',
    'square left',
    '5 right opens',
    'hairpin right',
    '4 left',
  ]

  it('keeps what is the same and where it moved, and takes what is new for new', async () => {
    const { id } = await begin('Rewritten', before.join('\n'))
    for (let call = 0; call < 4; call++) await answer(id, call)
    await ask('PUT', `/stages/${id}/notes`, { text: after.join('\n'), base: 0 })
    const met = new Map((await view(id)).calls.map((call) => [call.text, call.met]))
    expect(met).toEqual(
      new Map([
        ...(['5 left', '3 right long', '6 left over crest', '2 right tightens'] as const).map(
          (text) => [text, 1] as const,
        ),
        ...(['6 right', 'square left', '5 right opens', 'hairpin right', '4 left'] as const).map(
          (text) => [text, 0] as const,
        ),
      ]),
    )
  })

  it('offers a call that may be one of two, and takes the crew’s word for which', async () => {
    const { id } = await begin('Offered', before.join('\n'))
    await answer(id, 4)
    await answer(id, 5)
    await answer(id, 5)
    const moved = ['4 left', ...before.filter((text) => text !== '4 left')]
    await ask('PUT', `/stages/${id}/notes`, { text: moved.join('\n'), base: 0 })
    const { calls } = await view(id)
    expect(calls[0]!.offered.map((one) => one.met).sort()).toEqual([1, 2])
    const twice = calls[0]!.offered.find((one) => one.met === 2)!
    await ask('POST', `/stages/${id}/learn/offers`, { call: 0, from: twice.id })
    expect((await view(id)).calls[0]).toMatchObject({ met: 2, offered: [] })
  })

  it('forgets nothing when the notes are emptied and come back', async () => {
    const { id } = await begin('Emptied', before.join('\n'))
    await answer(id, 6)
    await ask('PUT', `/stages/${id}/notes`, { text: '', base: 0 })
    expect((await view(id)).calls).toEqual([])
    await ask('PUT', `/stages/${id}/notes`, { text: before.join('\n'), base: 1 })
    expect((await view(id)).calls[6]!.met).toBe(1)
  })
})

describe('stages with little in them', () => {
  it('ask nothing when empty and go on with one call', async () => {
    const empty = await begin('Empty', '')
    expect(await ask('GET', `/stages/${empty.id}/learn/next`)).toBeNull()
    expect((await view(empty.id)).forecast).toBeNull()
    const one = await begin('One', '5 left')
    await answer(one.id, 0, { how: 'listen' })
    expect((await answer(one.id, 0)).next!.call).toBe(0)
  })
})

describe('two copies of a library', () => {
  it('merge their logs to the same memory, once', async () => {
    const a = await begin('Merge')
    await answer(a.id, 0)
    const { lines } = await ask<{ lines: { item: string; at: number }[] }>('GET', `/stages/${a.id}/learn/log`)
    const other = lines.map((line) => ({ ...line, id: 'from-elsewhere', device: 'other', at: line.at + 600 }))
    const merge = () => ask<{ added: number }>('POST', `/stages/${a.id}/learn/log`, { lines: [...lines, ...other] })
    expect([(await merge()).added, (await merge()).added]).toEqual([1, 0])
    expect((await view(a.id)).calls[0]!.met).toBe(2)
  })
})

describe('two devices', () => {
  it('that know a stage’s calls by other names find each other’s answers, both ways, once', async () => {
    // Two stages of the same notes stand for one stage on two devices.
    const [here, there] = [await begin('Here'), await begin('There', NOTES.replace('5 left, 60', '5 left, 90'))]
    await answer(here.id, 0)
    await answer(here.id, 3)
    await answer(there.id, 3, { grade: 'no' })
    const bring = async (from: string, to: string) =>
      (await ask<{ added: number }>('POST', `/stages/${to}/learn/log`, await elsewhere(from))).added
    // In one library a line is one stage's: the other device has it under another name.
    const elsewhere = async (stage: string) => {
      const log = await ask<{ lines: { id: string; device: string }[] }>('GET', `/stages/${stage}/learn/log`)
      return {
        ...log,
        lines: log.lines.map((line) => ({ ...line, id: `${line.id}-${stage}`.slice(0, 60), device: stage })),
      }
    }
    expect(await bring(here.id, there.id)).toBe(2)
    expect((await view(there.id)).calls.map((call) => [call.met, call.answers])).toEqual([
      [1, 1],
      [0, 0],
      [0, 0],
      [2, 1],
      [0, 0],
    ])
    const log = await ask<object>('GET', `/stages/${there.id}/learn/log`)
    expect((await ask<{ added: number }>('POST', `/stages/${there.id}/learn/log`, log)).added).toBe(0)
  })

  it('keep answers about a call that is not in these notes, and have them back when it is', async () => {
    const [here, there] = [await begin('Long'), await begin('Short', NOTES.split('\n').slice(0, 3).join('\n'))]
    await answer(here.id, 4)
    const log = await ask<{ lines: { id: string }[] }>('GET', `/stages/${here.id}/learn/log`)
    const lines = log.lines.map((line) => ({ ...line, id: `${line.id}-there` }))
    await ask('POST', `/stages/${there.id}/learn/log`, { ...log, lines })
    expect((await view(there.id)).calls.map((call) => call.met)).toEqual([0, 0, 0])
    await ask('PUT', `/stages/${there.id}/notes`, { text: NOTES, base: 0 })
    expect((await view(there.id)).calls[4]!.met).toBe(1)
  })

  it('refuse a file that is no log', async () => {
    const { id } = await begin('No log')
    await expect(ask('POST', `/stages/${id}/learn/log`, { lines: [{ id: 'x' }] })).rejects.toThrow(/400/)
  })
})

describe('an event', () => {
  const event = (stage: string, date: string, more: object = {}) => ({
    name: 'Autumn round',
    date,
    time: '10:00',
    zone: 'Europe/London',
    minutes: 20,
    morning: true,
    stages: [{ stage, recce: null }],
    ...more,
  })

  it('gives a plan by day, a forecast that rises and is too early at first', async () => {
    now = EVENING
    const { id } = await begin('Learnt')
    await ask('POST', '/events', event(id, '2026-06-14'))
    const shares: number[] = []
    for (let day = 0; day < 3; day++) {
      now = EVENING + day * DAY
      for (let round = 0; round < 2; round++) for (let call = 0; call < 5; call++) await answer(id, call)
      const { forecast, streak, plan } = await view(id)
      shares.push(forecast!.stopped)
      expect([forecast!.early, streak, plan!.daysLeft]).toEqual([day < 2, day + 1, 4 - day])
    }
    expect(shares).toEqual([...shares].sort((a, b) => a - b))
    expect(shares[2]! - shares[0]!).toBeGreaterThan(0.1)
    now = EVENING
  })

  it('in the past leaves no plan and keeps the log; one that is no date is refused', async () => {
    const { id } = await begin('Past')
    await answer(id, 0)
    await ask('POST', '/events', event(id, '2020-01-01'))
    const { plan, calls } = await view(id)
    expect([plan!.state, plan!.days, calls[0]!.met]).toEqual(['past', [], 1])
    await expect(ask('POST', '/events', event(id, '2026-06-14', { zone: 'Nowhere/Here' }))).rejects.toThrow(
      /400.*Nowhere/,
    )
  })

  it('today plans the ride before the start, and after it none', async () => {
    const { id } = await begin('Today')
    now = Date.parse('2026-06-14T07:00Z') / 1000
    await ask('POST', '/events', event(id, '2026-06-14'))
    const before = await view(id)
    expect([before.plan!.state, before.plan!.days.map((day) => day.when), before.sitting.length > 0]).toEqual([
      'today',
      ['morning'],
      true,
    ])
    now = Date.parse('2026-06-14T09:00Z') / 1000
    const started = await view(id)
    expect([started.plan!.state, started.plan!.days, started.sitting]).toEqual(['past', [], []])
    now = EVENING
  })

  it('shares its minutes among its stages', async () => {
    const [a, b] = [await begin('First of two'), await begin('Second of two', `${NOTES}, 50\n${NOTES}`)]
    const stages = [a, b].map((one) => ({ stage: one.id, recce: '2026-06-12' }))
    await ask('POST', '/events', event(a.id, '2026-06-14', { stages }))
    const events = await ask<{ id: string; stages: { stage: string; seconds: number; done: number }[] }[]>(
      'GET',
      '/events',
    )
    const ours = events.find((one) => one.stages.some((place) => place.stage === b.id))!
    expect(ours.stages.reduce((sum, one) => sum + one.seconds, 0)).toBeCloseTo(1200, 3)

    // What is done today is told beside it, and turns nothing round.
    await answer(b.id, 0, { seconds: 60 })
    const later = (await ask<typeof events>('GET', '/events')).find((one) => one.id === ours.id)!
    expect(later.stages.map((one) => Math.round(one.seconds))).toEqual(
      ours.stages.map((one) => Math.round(one.seconds)),
    )
    expect(later.stages.map((one) => one.done)).toEqual([0, 60])
  })
})
