import { describe, expect, it } from 'vitest'
import { RequestProblem } from '../../../client/connection/request.ts'
import { createPlayer } from '../../../client/playback/player.ts'
import { MemoryRide } from '../../../client/rehearsal/memory/memoryRide.ts'
import type { AnswerSent, RideView } from '../../../server/api/learnWire.ts'
import type { PlanDocument } from '../../../server/api/wire.ts'
import { evenRun, fakeCard } from '../playback/fakeCard.ts'

const CALLS = 6
/** Calls at 4, 12, 20 … s, each a second long; a condensed ride goes from 2 s after a start to 2 s before the next. */
const run = evenRun(20, 960, 8)

function viewOf(more: Partial<RideView> = {}, each: object = {}): RideView {
  return {
    heard: CALLS,
    position: 0,
    fullLeft: 1000,
    calls: run.calls.map((call, i) => ({
      call: i,
      gap: 'call' as const,
      blanked: null,
      jump: i === CALLS - 1 ? null : { from: call.start + 2, to: call.start + 6 },
      choices: ['5 left', '3 right', '4 left', '6 right'],
      check: false,
      meaning: `call ${i}`,
      limits: { typed: 6, chosen: 8 },
      ...each,
    })),
    ...more,
  }
}

async function ride(
  view: RideView,
  { fails, gone, kept = null }: { fails?: () => boolean; gone?: number; kept?: string | null } = {},
) {
  const { card, heard, step } = fakeCard()
  const player = createPlayer(card, run)
  const sent: AnswerSent[] = []
  const asked: (number | undefined)[] = []
  let [ids, page, store] = [0, 0, kept]
  const memory = new MemoryRide(
    { calls: run.calls.map((call) => ({ ...call, say: 'five left' })) } as unknown as PlanDocument,
    {
      player,
      ride: (from) => {
        asked.push(from)
        return Promise.resolve(view)
      },
      async send(answers) {
        if (fails?.()) throw new Error('Say When does not answer.')
        if (answers.some((one) => one.call === gone))
          throw new RequestProblem({ type: '', title: '', status: 409, detail: `There is no call ${gone}.` })
        sent.push(...answers)
        return {
          graded: answers.map((one) => ({ call: one.call, grade: null, answer: '', setBack: false })),
          next: null,
        }
      },
      newId: () => `answer-${ids++}`,
      now: () => page,
      kept: () => store,
      keep: (text) => {
        store = text
      },
    },
  )
  await memory.open()
  player.start()
  const go = (seconds: number) => {
    for (let i = 0; i < seconds * 20; i++) {
      step(0.05)
      page += 0.05
      memory.tick()
    }
  }
  // The count of three before the line.
  go(3.1)
  return {
    memory,
    player,
    go,
    sent,
    asked,
    said: () => heard.filter((one) => !one.stopped).map((one) => one.clip),
    kept: () => store,
  }
}

describe('a ride from memory judged by the crew', () => {
  it('never holds the car, and writes each grade when the voice has said the call', async () => {
    const { memory, go, sent, player } = await ride(viewOf())
    go(5)
    memory.judge('in time')
    go(8)
    memory.judge('no')
    await memory.flush()
    expect(sent.map((one) => [one.call, one.how, one.grade])).toEqual([
      [0, 'self', 'in time'],
      [1, 'self', 'no'],
    ])
    expect(player.stageHeard()).toBeCloseTo(13, 0)
  })

  it('counts what nobody judged as heard', async () => {
    const { go, sent, memory } = await ride(viewOf())
    go(13)
    await memory.flush()
    expect(sent.map((one) => [one.call, one.grade])).toEqual([[0, null]])
  })

  it('listens to calls that are new', async () => {
    const { go, sent, memory } = await ride(viewOf({ heard: 0 }))
    go(21)
    await memory.flush()
    expect(sent.map((one) => one.how)).toEqual(['listen', 'listen'])
  })

  it('asks a checked call for the crew’s word first, then lets it choose', async () => {
    const { memory, go, sent, player } = await ride(viewOf({}, { check: true }))
    go(6)
    expect([memory.asked(), player.waiting()]).toEqual(['check', true])
    memory.give('3 right')
    expect(memory.answered()).toBe(false)
    memory.claim(true)
    memory.give('3 right')
    go(10)
    await memory.flush()
    expect(sent[0]).toMatchObject({ call: 0, how: 'chosen', text: '3 right', claimed: true })
  })
})

describe('a ride from memory typed or chosen', () => {
  it('holds the car before the call until it is given; then the voice says it', async () => {
    const { memory, go, said, player } = await ride(viewOf())
    memory.setWay('choose')
    go(6)
    expect([said(), player.waiting(), memory.said]).toEqual([[], true, -1])
    memory.give('5 left')
    go(0.5)
    expect([said(), memory.said]).toEqual([['clip 0'], 0])
  })

  it('sends it as late where the crew calls it hard', async () => {
    const { memory, go, sent } = await ride(viewOf())
    memory.setWay('type')
    go(4)
    memory.give('5 left')
    go(1)
    memory.rate(true)
    await memory.flush()
    expect(sent[0]).toMatchObject({ call: 0, how: 'typed', text: '5 left', hard: true })
    // Asked from the ride's first moment, which is three seconds before the line.
    expect(sent[0]!.took).toBeGreaterThan(3)
  })

  it('waits half as long again as an answer in time may take, then takes silence for no', async () => {
    const { memory, go, sent, said } = await ride(viewOf())
    memory.setWay('type')
    go(5)
    expect(said()).toEqual([])
    go(9)
    await memory.flush()
    expect([said(), sent[0]?.text]).toEqual([['clip 0'], ''])
  })
})

describe('a ride from memory heard by a microphone', () => {
  it('keeps what was heard before the voice, and silence as no', async () => {
    const { memory, go, sent } = await ride(viewOf())
    memory.setWay('say')
    memory.hears = true
    go(2)
    memory.heard(0, 'in time')
    go(19)
    await memory.flush()
    expect(sent.map((one) => [one.call, one.how, one.grade])).toEqual([
      [0, 'voice', 'in time'],
      [1, 'voice', 'no'],
    ])
  })

  it('keeps a run that was said ahead of the voice in one breath', async () => {
    const { memory, go, sent } = await ride(viewOf())
    memory.setWay('say')
    memory.hears = true
    go(1)
    memory.heard(0, 'in time')
    memory.heard(1, 'in time')
    go(20)
    await memory.flush()
    expect(sent.map((one) => one.grade)).toEqual(['in time', 'in time'])
  })

  it('takes the judge’s word when it comes after the first, and not for another call', async () => {
    const { memory, go, sent } = await ride(viewOf())
    memory.setWay('say')
    memory.hears = true
    go(2)
    memory.heard(0, null)
    go(3)
    memory.heard(0, 'no')
    go(7)
    memory.heard(0, 'in time')
    await memory.flush()
    expect(sent.map((one) => [one.call, one.grade])).toEqual([[0, 'no']])
  })

  it('gives no grade where it was not certain, and lets the crew mend it', async () => {
    const { memory, go, sent } = await ride(viewOf())
    memory.setWay('say')
    memory.hears = true
    memory.heard(0, null)
    go(13)
    memory.judge('late')
    await memory.flush()
    expect(sent.map((one) => [one.call, one.how, one.grade])).toEqual([
      [0, 'voice', null],
      [1, 'self', 'late'],
    ])
  })
})

describe('the empty road', () => {
  it('is ridden in full while the day’s first ride lasts, then left out', async () => {
    const { go, player, sent, memory } = await ride(viewOf({ fullLeft: 16 }))
    go(20)
    await memory.flush()
    // 3.1 s of count, then to 12.9 s in full; from 14 s the four seconds to 18 s are left out.
    expect(player.stageHeard()).toBeGreaterThan(23)
    expect(sent.map((one) => one.pace)).toEqual(['full', 'condensed'])
  })

  it('stays where the crew wants it', async () => {
    const { go, player, memory } = await ride(viewOf({ fullLeft: 0 }))
    memory.setCut(false)
    go(20)
    expect(player.stageHeard()).toBeCloseTo(20, 0)
  })
})

describe('choices', () => {
  it('are asked for again where the calls ahead have none: after a jump back to the start', async () => {
    const { calls } = viewOf()
    const far = viewOf({ calls: calls.map((one, i) => (i < 3 ? { ...one, choices: [] } : one)) })
    const { asked, go } = await ride(far)
    expect(asked).toEqual([undefined])
    go(5)
    expect(asked).toEqual([undefined, 1])
  })
})

describe('answers on their way', () => {
  it('that could not be sent go with the next, once', async () => {
    let down = true
    const { memory, go, sent, kept } = await ride(viewOf(), { fails: () => down })
    go(5)
    memory.judge('in time')
    await memory.flush()
    expect([sent, JSON.parse(kept()!).length]).toEqual([[], 1])
    down = false
    go(8)
    memory.judge('late')
    await memory.flush()
    expect(sent.map((one) => one.call)).toEqual([0, 1])
    expect(kept()).toBe('[]')
  })

  it('that a closed page left behind are sent when the stage is opened again', async () => {
    const first = await ride(viewOf())
    first.memory.setWay('type')
    first.go(2)
    first.memory.give('5 left')
    const second = await ride(viewOf(), { kept: first.kept() })
    await second.memory.flush()
    expect(second.sent.map((one) => [one.call, one.text])).toEqual([[0, '5 left']])
  })
  it('are not held up by one whose call is no longer in the notes', async () => {
    const left = JSON.stringify([{ id: 'answer-to-gone', call: 99, how: 'self', grade: 'no', seconds: 2 }])
    const { memory, go, sent, kept } = await ride(viewOf(), { kept: left, gone: 99 })
    go(5)
    memory.judge('in time')
    await memory.flush()
    expect([sent.map((one) => one.call), kept()]).toEqual([[0], '[]'])
  })

  it('are sent all but the one whose call is gone, when they go together', async () => {
    const left = JSON.stringify(
      [1, 99, 2].map((call) => ({ id: `answer-to-${call}`, call, how: 'listen', seconds: 2 })),
    )
    const { memory, sent, kept } = await ride(viewOf(), { kept: left, gone: 99 })
    await memory.flush()
    expect([sent.map((one) => one.call), kept()]).toEqual([[1, 2], '[]'])
  })
})
