import { afterEach, describe, expect, it } from 'vitest'
import { HallTaken } from '../../../server/sessions/hallLock.ts'
import { positionAt } from '../../../server/sessions/timeline.ts'
import { evening } from './evening.ts'

const open: ReturnType<typeof evening>[] = []
const night = (more: Parameters<typeof evening>[0] = {}) => {
  const one = evening(more)
  open.push(one)
  return one
}
afterEach(() => {
  for (const one of open.splice(0)) {
    one.abandon()
    one.clean()
  }
})

const events = (page: { got: readonly { type: string }[] }) =>
  page.got.flatMap((reply) =>
    reply.type === 'event' ? [(reply as unknown as { event: { kind: string } }).event.kind] : [],
  )

describe('who may do what', () => {
  it('lets the key make a trainer, and the code never', async () => {
    const club = night()
    const crew = club.page()
    await crew.say({ type: 'join', code: club.code, name: 'A', role: 'trainer', shown: true })
    expect(crew.last('refused').why).toContain('trainer key')
    expect((await club.trainer()).last('welcome').me.role).toBe('trainer')
  })

  it('refuses a co-driver who would start the run', async () => {
    const club = night()
    const crew = club.page()
    await crew.join('A')
    expect((await crew.act({ do: 'start' })).type).toBe('refused')
  })

  it('shuts the door when it is locked, but not to those who come back', async () => {
    const club = night()
    const trainer = await club.trainer()
    const crew = club.page()
    const { me, boot } = await crew.join('A')
    await trainer.act({ do: 'lock', locked: true })
    const late = club.page()
    await late.say({ type: 'join', code: club.code, name: 'B', role: 'driver', shown: true })
    expect(late.last('refused').why).toContain('locked')
    crew.leave()
    const back = club.page()
    await back.resume(me.token, boot, 0)
    expect(back.last('welcome').me.id).toBe(me.id)
  })

  it('sends a phone out for good: its seat does not open again', async () => {
    const club = night()
    const trainer = await club.trainer()
    const crew = club.page()
    const { me, boot } = await crew.join('A')
    await trainer.act({ do: 'kick', member: me.id })
    expect(crew.closed?.code).toBe(4003)
    const back = club.page()
    await back.resume(me.token, boot, 0)
    expect(back.last('refused').why).toContain('no longer there')
  })

  it('hands over: the other may start, the one before may not', async () => {
    const club = night()
    const trainer = await club.trainer()
    const crew = club.page()
    const { me } = await crew.join('A')
    await trainer.act({ do: 'hand-over', member: me.id })
    expect((await crew.act({ do: 'run', stage: 'even', mode: 'listen' })).type).toBe('done')
    expect((await trainer.act({ do: 'start' })).type).toBe('refused')
  })

  it('gives the same name twice two names', async () => {
    const club = night()
    await club.page().join('Ann')
    expect((await club.page().join('ann')).me.name).toBe('ann (2)')
  })

  it('keeps a crew of one seat in one page: the newer takes it', async () => {
    const club = night()
    const crew = club.page()
    const { me, boot } = await crew.join('A')
    await club.page().resume(me.token, boot, 0)
    expect(crew.closed?.code).toBe(4006)
  })
})

describe('a run', () => {
  async function running(mode = 'listen') {
    const club = night()
    const trainer = await club.trainer()
    const crew = club.page()
    const { me, boot } = await crew.join('A')
    await trainer.act({ do: 'run', stage: 'even', mode })
    await trainer.act({ do: 'start' })
    return { club, trainer, crew, me, boot }
  }

  it('starts at one moment in the future, the same for all', async () => {
    const { club, trainer, crew } = await running()
    const told = [trainer, crew].map((page) => page.last('event').event)
    expect(told[0]).toEqual(told[1])
    expect(told[0]!.at - club.now()).toBe(1.5)
  })

  it('is told at least three round trips of the slowest phone ahead', async () => {
    const { club, trainer, crew } = await running()
    await crew.say({ type: 'ready', plan: null, floor: 0.6, exact: true })
    club.step(10)
    await trainer.act({ do: 'pause' })
    expect(crew.last('event').event.at - club.now()).toBeCloseTo(1.8, 6)
  })

  it('is held and goes on from there', async () => {
    const { club, trainer } = await running()
    club.step(20)
    await trainer.act({ do: 'pause' })
    club.step(100)
    const held = positionAt(club.state().timeline, club.now())!
    expect(held).toBeCloseTo(20 + 0.8 - 1.5 - 3, 6)
    await trainer.act({ do: 'resume' })
    club.step(5)
    expect(positionAt(club.state().timeline, club.now())).toBeCloseTo(held + 5 - 0.8, 6)
  })

  it('keeps the place on the road when the speed changes', async () => {
    const { club, trainer } = await running()
    club.step(50)
    await trainer.act({ do: 'speed', average: 20 })
    club.step(3)
    // Started at 1.5 with three seconds of count-in: after 53 s the clock is at 48.5, the car at 485 m; twice as fast that is 24.25 s.
    expect(positionAt(club.state().timeline, club.now())).toBeCloseTo(24.25, 6)
  })

  it('refuses a stage that is not there, in a sentence', async () => {
    const club = night()
    const trainer = await club.trainer()
    const reply = await trainer.act({ do: 'run', stage: 'nowhere', mode: 'listen' })
    expect(reply).toMatchObject({ type: 'refused', why: 'There is no stage "nowhere".' })
  })

  it('scores taps at once by the moment they were made, not by when they came', async () => {
    const { club, crew } = await running('taps')
    club.step(12)
    // Call 1 starts at 5 s on the stage clock: server time begin + 1.5 + 3 + 5.
    await crew.say({ type: 'tap', id: 1, at: club.now() - 12 + 9.5 + 0.25 })
    expect(crew.last('scored')).toMatchObject({ call: 1, error: expect.closeTo(0.25, 5) })
  })

  it('counts a tap sent again after a break once', async () => {
    const { club, crew, me } = await running('taps')
    club.step(12)
    for (let i = 0; i < 3; i++) await crew.say({ type: 'tap', id: 7, at: club.now() - 2.5 })
    expect(club.hall.host(club.room)!.room.doings.get(1)!.get(me.id)!.taps).toHaveLength(1)
  })

  it('takes no tap from the future, from a pause, or from before the start', async () => {
    const { club, crew } = await running('taps')
    await crew.say({ type: 'tap', id: 1, at: club.now() + 5 })
    await crew.say({ type: 'tap', id: 2, at: club.now() - 5 })
    expect(crew.got.filter((reply) => reply.type === 'scored' && reply.call === null)).toHaveLength(2)
  })

  it('ends by itself, and the board comes', async () => {
    const { club, crew } = await running('taps')
    club.step(12)
    await crew.say({ type: 'tap', id: 1, at: club.now() - 2.5 })
    for (let i = 0; i < 100; i++) club.step(1)
    expect(events(crew).at(-1)).toBe('board')
    expect(club.state().board).toMatchObject({ onTime: 1, rows: [{ name: 'A', taps: 1 }] })
  })

  it('goes on when the trainer vanishes; phones are told', async () => {
    const { club, trainer, crew } = await running()
    club.step(1)
    trainer.leave()
    for (let i = 0; i < 3; i++) club.step(1)
    expect(crew.last('roster').trainers).toBe(0)
    expect(positionAt(club.state().timeline, club.now())).toBeGreaterThan(-3)
  })

  it('lets only those read whose turn it is', async () => {
    const { club, trainer, crew } = await running()
    const other = club.page()
    await other.join('B')
    await trainer.act({ do: 'run', stage: 'even', mode: 'relay', marks: [2] })
    await trainer.act({ do: 'start' })
    club.step(30)
    const at = club.now() - 30 + 4.5 + 5 // call 1, of A's stretch; B's begins more than three seconds later
    await crew.say({ type: 'tap', id: 1, at })
    await other.say({ type: 'tap', id: 1, at })
    expect([crew.last('scored').call, other.last('scored').call]).toEqual([1, null])
  })

  it('asks what comes next and counts the right answers', async () => {
    const { club, crew } = await running('quiz')
    const item = club.state().run!.quiz[0]!
    club.step(4.5 + item.opens + 0.5)
    await crew.say({
      type: 'answer',
      id: 1,
      call: item.call,
      choice: item.choices.indexOf(`call ${item.call}`),
      at: club.now(),
    })
    for (let i = 0; i < 110; i++) club.step(1)
    expect(club.state().board?.rows[0]).toMatchObject({ name: 'A', right: 1 })
  })

  it('plays two wordings in turn and counts the votes', async () => {
    const { club, crew } = await running('vote')
    await crew.say({ type: 'vote', id: 1, choice: 'terse' })
    for (let i = 0; i < 220; i++) club.step(1)
    expect(club.state().board?.votes).toEqual({ verbose: 0, terse: 1 })
  })
})

describe('after a crash', () => {
  it('is the same room: code, seats, events, and the right second', async () => {
    const club = night()
    const trainer = await club.trainer()
    const crew = club.page()
    const { me, boot } = await crew.join('A')
    await trainer.act({ do: 'run', stage: 'even', mode: 'taps' })
    await trainer.act({ do: 'start' })
    const before = club.state()
    club.abandon()
    const again = night({ folder: club.folder })
    expect(again.state()).toEqual(before)
    expect(again.code).toBe(club.code)
    const back = again.page()
    await back.resume(me.token, boot, 0)
    const welcome = back.last('welcome')
    expect(welcome.boot).not.toBe(boot)
    expect(welcome.missed?.map((one) => one.kind)).toEqual(['run', 'timeline'])
  })

  it('sends who has seen all nothing again', async () => {
    const club = night()
    const crew = club.page()
    const { me, boot, state } = await crew.join('A')
    crew.leave()
    const back = club.page()
    await back.resume(me.token, boot, state.seq)
    expect(back.last('welcome').missed).toEqual([])
  })

  it('gives the state to who was away longer than events are kept', async () => {
    const club = night()
    const trainer = await club.trainer()
    const crew = club.page()
    const { me, boot } = await crew.join('A')
    for (let i = 0; i < 600; i++) {
      club.step(0.05)
      await trainer.act({ do: 'lock', locked: i % 2 === 0 })
    }
    const back = club.page()
    await back.resume(me.token, boot, 0)
    expect(back.last('welcome').missed).toBeNull()
    expect(back.last('welcome').state.seq).toBe(600)
  })
})

describe('the end of the night', () => {
  it('leaves nothing, and nobody in', async () => {
    const club = night()
    const crew = club.page()
    await crew.join('A')
    club.hall.host(club.room)!.end(false)
    expect(events(crew).at(-1)).toBe('end')
    expect(crew.closed?.code).toBe(1000)
    club.abandon()
    expect(night({ folder: club.folder }).hall.rooms()).toHaveLength(1) // a new one: the old is gone
  })

  it('ends one evening of two, the other goes on', async () => {
    const club = night()
    const other = club.hall.open('Another')
    club.hall.host(club.room)!.end(true)
    expect(club.hall.rooms().map((one) => one.id)).toEqual([other.room])
  })
})

describe('two hosts', () => {
  it('of one folder: the second is told, and writes nothing', () => {
    const club = night()
    expect(() => evening({ folder: club.folder })).toThrow(HallTaken)
  })

  it('in one hall have codes of their own and do not hear each other', async () => {
    const club = night()
    const other = club.hall.open('Another')
    expect(other.code).not.toBe(club.code)
    const trainer = await club.trainer()
    const stranger = club.page()
    await stranger.say({ type: 'join', code: other.code, name: 'B', role: 'driver', shown: true })
    await trainer.act({ do: 'lock', locked: true })
    expect(events(stranger)).toEqual([])
  })
})
