import { afterEach, describe, expect, it } from 'vitest'
import { type ClubBus, type Envelope, inProcessBus, type RoomRequest } from '../../../server/sessions/clubBus.ts'
import { evening } from './evening.ts'

/** What a broker between machines would do to what crosses: text and back, nothing shared, and never in the same breath. */
function wireBus(): ClubBus {
  const inner = inProcessBus()
  const over = <T>(value: T): T => JSON.parse(JSON.stringify(value ?? null)) as T
  return {
    serve: (room, code, answer) => inner.serve(room, code, async (request) => over(await answer(over(request)))),
    find: inner.find,
    ask: async (room, request) => over(await inner.ask(room, over(request))),
    publish: (room, envelope) => void Promise.resolve().then(() => inner.publish(room, over(envelope))),
    listen: inner.listen,
  }
}

describe.each([
  ['in one process', inProcessBus],
  ['as a broker between machines would carry it', wireBus],
])('the seam between front doors and hosts, %s', (_name, make) => {
  const request: RoomRequest = { kind: 'left', connection: 'c', member: 'm' }
  let club: ReturnType<typeof evening> | null = null
  afterEach(() => {
    club?.abandon()
    club?.clean()
    club = null
  })

  it('finds a room by its code and asks its host, until the host goes', async () => {
    const bus = make()
    const stop = bus.serve('r', 'CODE', async () => ({ replies: [] }))
    expect(await bus.find('CODE')).toBe('r')
    expect(await bus.ask('r', request)).toEqual({ replies: [] })
    stop()
    expect([await bus.find('CODE'), await bus.ask('r', request)]).toEqual([null, null])
  })

  it('has one host a room', () => {
    const bus = make()
    bus.serve('r', 'CODE', async () => ({ replies: [] }))
    expect(() => bus.serve('r', 'OTHER', async () => ({ replies: [] }))).toThrow(RangeError)
  })

  it('brings what is said to a room to all who listen, in order, and to no other room', async () => {
    const bus = make()
    const heard: string[] = []
    const add = (who: string) => (envelope: Envelope) => void heard.push(`${who} ${envelope.text}`)
    bus.listen('r', add('a'))
    const stop = bus.listen('r', add('b'))
    bus.listen('other', add('c'))
    bus.publish('r', { to: 'all', text: '1' })
    await Promise.resolve().then(() => {})
    stop()
    bus.publish('r', { to: 'all', text: '2' })
    await Promise.resolve().then(() => {})
    expect(heard).toEqual(['a 1', 'b 1', 'a 2'])
  })

  it('lets two front doors carry one room', async () => {
    club = evening({ bus: make() })
    const trainer = await club.trainer()
    const far = club.page(club.door('far'))
    const { me } = await far.join('Far')
    await trainer.act({ do: 'run', stage: 'even', mode: 'taps' })
    await trainer.act({ do: 'start' })
    expect(far.got.flatMap((one) => (one.type === 'event' ? [one.event.kind] : []))).toEqual(['run', 'timeline'])
    club.step(12)
    await far.say({ type: 'tap', id: 1, at: club.now() - 2.5 })
    expect(far.last('scored').call).toBe(1)
    await trainer.act({ do: 'kick', member: me.id })
    expect(far.closed?.code).toBe(4003)
  })

  it('does not lose what is said while somebody is let in', async () => {
    club = evening({ bus: make() })
    const trainer = await club.trainer()
    const crew = club.page()
    const joining = crew.join('A')
    const acting = trainer.act({ do: 'run', stage: 'even', mode: 'listen' })
    const welcome = await joining
    await acting
    const seen = welcome.state.run !== null || crew.got.some((one) => one.type === 'event' && one.event.kind === 'run')
    expect(seen).toBe(true)
  })
})
