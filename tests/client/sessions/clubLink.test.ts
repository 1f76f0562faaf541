import { describe, expect, it } from 'vitest'
import { ClubLink, type LinkSocket } from '../../../client/sessions/clubLink.ts'
import { EMPTY_ROOM } from '../../../client/sessions/clubView.ts'
import type { ClubEvent, ClubReply } from '../../../server/sessions/clubWire.ts'

const lock = (seq: number, locked = true): ClubEvent => ({ seq, at: 0, kind: 'lock', locked })

/** A link on stepped clocks, with sockets whose other end is held by the test. */
function linked() {
  let page = 0
  let slept = 0
  const timers: { at: number; run: () => void; gone: boolean }[] = []
  const sockets: (LinkSocket & { sent: Record<string, unknown>[] })[] = []
  const link = new ClubLink(
    {
      connect: () => {
        const socket = {
          sent: [] as Record<string, unknown>[],
          onopen: null,
          onmessage: null,
          onclose: null,
        } as unknown as LinkSocket & {
          sent: Record<string, unknown>[]
        }
        socket.send = (text) => void socket.sent.push(JSON.parse(text))
        socket.close = () => {}
        sockets.push(socket)
        return socket
      },
      now: () => page,
      wall: () => 1_900_000_000 + page + slept,
      after: (seconds, run) => {
        const timer = { at: page + seconds, run, gone: false }
        timers.push(timer)
        return () => {
          timer.gone = true
        }
      },
      random: () => 0.5,
    },
    { kind: 'join', code: 'ABCDEF', name: 'A', role: 'co-driver', shown: true },
  )
  const socket = () => sockets.at(-1)!
  const hear = (reply: ClubReply) => socket().onmessage!(JSON.stringify(reply))
  return {
    link,
    sockets,
    socket,
    hear,
    said: (type: string) => socket().sent.filter((one) => one.type === type),
    welcome: (missed: ClubEvent[] | null, seq = 0, kept: number[] = []) =>
      hear({
        type: 'welcome',
        me: { id: 'm', name: 'A', role: 'co-driver', token: 'room.token' },
        code: 'ABCDEF',
        boot: 'b',
        state: { ...EMPTY_ROOM, seq },
        missed,
        kept,
      }),
    event: (event: ClubEvent) => hear({ type: 'event', event }),
    step(seconds: number) {
      const until = page + seconds
      for (;;) {
        const next = timers.filter((one) => !one.gone && one.at <= until).sort((a, b) => a.at - b.at)[0]
        if (!next) break
        page = Math.max(page, next.at)
        next.gone = true
        next.run()
      }
      page = until
    },
    sleep(seconds: number) {
      slept += seconds
    },
  }
}

describe('a link to a room', () => {
  it('joins, then applies events in order and each once', () => {
    const { link, socket, welcome, event, said } = linked()
    socket().onopen!()
    expect(said('join')).toHaveLength(1)
    welcome(null, 3)
    const seen: number[] = []
    link.onEvent = ({ seq }) => seen.push(seq)
    for (const seq of [4, 4, 3, 5]) event(lock(seq))
    expect(seen).toEqual([4, 5])
  })

  it('asks for what is in a hole, and never steps over it', () => {
    const { link, socket, welcome, event, hear, said } = linked()
    socket().onopen!()
    welcome(null, 0)
    event(lock(1))
    event(lock(4))
    expect(said('missed')).toEqual([{ type: 'missed', seen: 1 }])
    expect(link.room.seq).toBe(1)
    hear({ type: 'missed', events: [lock(2), lock(3), lock(4, false)], state: EMPTY_ROOM })
    expect([link.room.seq, link.room.locked]).toEqual([4, false])
  })

  it('comes back by itself, says what it has seen, and takes what it missed', () => {
    const { link, sockets, socket, welcome, event, said, step } = linked()
    socket().onopen!()
    welcome(null, 0)
    event(lock(1))
    socket().onclose!(1006, '')
    expect(link.status).toBe('away')
    step(1)
    expect(sockets).toHaveLength(2)
    socket().onopen!()
    expect(said('resume')[0]).toMatchObject({ token: 'room.token', seen: 1 })
    welcome([lock(2)], 2)
    expect([link.status, link.room.seq]).toEqual(['in', 2])
  })

  it('tries again within a second, however often it has failed', () => {
    const { sockets, socket, step } = linked()
    for (let i = 0; i < 12; i++) {
      socket().onclose!(1006, '')
      step(0.91)
    }
    expect(sockets).toHaveLength(13)
  })

  it('sends a tap again until it is safe, and only then forgets it', () => {
    const { link, socket, welcome, hear, said, step } = linked()
    socket().onopen!()
    welcome(null, 0)
    const [first, second] = [link.do({ type: 'tap', at: 5 }), link.do({ type: 'tap', at: 6 })]
    hear({ type: 'scored', id: first, call: 1, error: 0 })
    socket().onclose!(1006, '')
    const third = link.do({ type: 'tap', at: 7 })
    step(1)
    socket().onopen!()
    welcome([], 0, [second])
    expect(said('tap').map((one) => one.id)).toEqual([third])
    expect(link.unsafe).toBe(1)
  })

  it.each([4003, 4006, 1000])('does not come back after %i', (code) => {
    const { link, sockets, socket, welcome, step } = linked()
    socket().onopen!()
    welcome(null, 0)
    socket().onclose!(code, 'why')
    step(10)
    expect([link.status, link.why, sockets.length]).toEqual(['over', 'why', 1])
  })

  it('takes a silent connection for dead', () => {
    const { link, socket, welcome, step } = linked()
    socket().onopen!()
    welcome(null, 0)
    step(14)
    expect(link.status).toBe('away')
  })

  it('carries its clock over sleep by the wall clock, and exchanges quickly again', () => {
    const { link, socket, welcome, hear, said, step, sleep } = linked()
    socket().onopen!()
    welcome(null, 0)
    let answered = 0
    for (let i = 0; i < 200; i++) {
      step(0.05)
      for (const one of said('t').slice(answered)) {
        answered += 1
        const server = 1_900_000_000 + 0.05 * (i + 1)
        hear({ type: 't', id: one.id as number, t2: server, t3: server })
      }
    }
    const before = link.serverNow()
    sleep(60)
    step(0.5)
    expect(link.serverNow() - before).toBeCloseTo(60.5, 1)
    const asked = said('t').length
    step(0.4)
    expect(said('t').length - asked).toBeGreaterThanOrEqual(8)
  })

  it('tells an act’s refusal, and does not leave it open when the connection breaks', async () => {
    const { link, socket, welcome, hear, said } = linked()
    socket().onopen!()
    welcome(null, 0)
    const refused = link.act({ do: 'start' })
    hear({ type: 'refused', id: said('do')[0]!.id as number, why: 'no' })
    expect(await refused).toBe('no')
    const broken = link.act({ do: 'start' })
    socket().onclose!(1006, '')
    expect(await broken).toContain('connection broke')
  })
})
