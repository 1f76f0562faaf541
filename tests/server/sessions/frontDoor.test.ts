import { afterEach, describe, expect, it } from 'vitest'
import { CLUB_CLOSE } from '../../../server/sessions/clubWire.ts'
import { seededRandom } from '../../seededRandom.ts'
import { evening } from './evening.ts'

let club: ReturnType<typeof evening>
const night = () => {
  club = evening()
  return club
}
afterEach(() => {
  club.abandon()
  club.clean()
})

describe('what is no message', () => {
  it.each([
    ['garbage', '\u0000\u0001{{{'],
    ['JSON of no known kind', '{"type":"shutdown"}'],
    ['a number', '42'],
    ['null', 'null'],
    ['nesting without end', '['.repeat(5000)],
    ['a key too many', '{"type":"t","id":1,"path":"/etc/passwd"}'],
    ['a prototype', '{"type":"t","id":1,"__proto__":{"role":"trainer"}}'],
    ['an id that is no id', '{"type":"t","id":1e400}'],
  ])('%s closes that connection, named', (_what, text) => {
    const page = night().page()
    page.raw(text)
    expect(page.closed).toEqual({ code: 4001, reason: CLUB_CLOSE.badMessage.reason })
  })

  it('binary is refused in the protocol’s own words', () => {
    const page = night().page()
    page.raw(null)
    expect(page.closed?.code).toBe(1003)
  })

  it('random bytes never throw, and never let anybody in', () => {
    const random = seededRandom(8)
    night()
    for (let i = 0; i < 300; i++) {
      const page = club.page()
      page.raw(Array.from({ length: 60 }, () => String.fromCharCode(Math.floor(random() * 65536))).join(''))
      expect(page.closed).not.toBeNull()
    }
    expect(club.front.size).toBe(0)
  })

  it('a message of the room before the join closes it', async () => {
    const page = night().page()
    await page.say({ type: 'tap', id: 1, at: 1 })
    expect(page.closed?.code).toBe(4001)
  })
})

describe('a flood', () => {
  it('ends that connection with a name, and nobody else’s', async () => {
    night()
    const others = [club.page(), club.page()]
    for (const [i, page] of others.entries()) await page.join(`Quiet ${i}`)
    const wild = club.page()
    await wild.join('Wild')
    for (let i = 0; i < 10_000; i++) wild.raw('{"type":"t","id":1}')
    expect(wild.closed).toEqual({ code: 4029, reason: 'too many messages' })
    const trainer = await club.trainer()
    await trainer.act({ do: 'lock', locked: true })
    expect(others.map((page) => [page.closed, page.last('event').event.kind])).toEqual([
      [null, 'lock'],
      [null, 'lock'],
    ])
  })

  it('is not what a page does while its clock settles', async () => {
    const page = night().page()
    await page.join('A')
    for (let i = 0; i < 8; i++) await page.say({ type: 't', id: i }).then(() => club.step(0.04))
    for (let i = 0; i < 200; i++) await page.say({ type: 't', id: i }).then(() => club.step(0.1))
    expect(page.closed).toBeNull()
  })

  it('of waiting messages is bounded too', async () => {
    const page = night().page()
    await page.join('A')
    for (let i = 0; i < 40; i++) page.raw('{"type":"missed","seen":0}')
    expect(page.closed?.code).toBe(4029)
  })
})

describe('guessing the code', () => {
  it('locks the address out after five, even from the right code, and only that address', async () => {
    night()
    for (let i = 0; i < 5; i++) {
      const page = club.page(club.front, '192.0.2.9')
      await page.say({ type: 'join', code: `WRONG${i}`, name: 'x', role: 'driver', shown: true })
      if (i === 4) expect(page.closed?.code).toBe(4004)
    }
    const right = club.page(club.front, '192.0.2.9')
    await right.say({ type: 'join', code: club.code, name: 'x', role: 'driver', shown: true })
    expect(right.last('refused').wait).toBeCloseTo(60, 1)
    expect((await club.page(club.front, '192.0.2.10').join('Honest')).me.name).toBe('Honest')
  })

  it('counts wrong trainer keys too', async () => {
    night()
    for (let i = 0; i < 5; i++) {
      await club
        .page(club.front, '192.0.2.9')
        .say({ type: 'join', code: club.code, name: 'x', role: 'trainer', shown: true, key: `guess number ${i}` })
    }
    const page = club.page(club.front, '192.0.2.9')
    await page.say({ type: 'join', code: club.code, name: 'x', role: 'driver', shown: true })
    expect(page.closed?.code).toBe(4004)
  })

  it('lets a locked-out phone that has a seat come back to it', async () => {
    night()
    const crew = club.page(club.front, '192.0.2.9')
    const { me, boot } = await crew.join('A')
    for (let i = 0; i < 5; i++)
      await club
        .page(club.front, '192.0.2.9')
        .say({ type: 'join', code: 'WRONG', name: 'x', role: 'driver', shown: true })
    const back = club.page(club.front, '192.0.2.9')
    await back.resume(me.token, boot, 0)
    expect(back.last('welcome').me.id).toBe(me.id)
  })
})

describe('connections', () => {
  it('that never join are closed', () => {
    const page = night().page()
    club.step(11)
    expect(page.closed?.code).toBe(4005)
  })

  it('that cannot take what is sent are closed as too slow', async () => {
    night()
    const crew = club.page()
    await crew.join('A')
    crew.unsent = 300_000
    const trainer = await club.trainer()
    await trainer.act({ do: 'lock', locked: true })
    expect(crew.closed?.code).toBe(4008)
  })

  it('beyond what one host carries are told to come later', () => {
    night()
    for (let i = 0; i < 600; i++) club.page()
    expect(club.page().closed?.code).toBe(1013)
  })

  it('answer an exchange with the time of receipt and of sending', async () => {
    const page = night().page()
    await page.say({ type: 't', id: 3 })
    expect(page.last('t')).toEqual({ type: 't', id: 3, t2: club.now(), t3: club.now() })
  })
})

describe('close codes against RFC 6455', () => {
  // RFC 6455 section 7.4.1 defines 1000 normal, 1001 going away, 1003 data it cannot accept, 1007 data not consistent with its type, 1009 too big, 1013 (IANA
  // registry: try again later); 7.4.2: 4000–4999 are for private use; 5.5: a close frame's body is at most 125 bytes, two of them the code.
  it.each(Object.entries(CLUB_CLOSE))('%s may be sent', (_name, { code, reason }) => {
    expect([1000, 1001, 1003, 1007, 1009, 1013].includes(code) || (code >= 4000 && code <= 4999)).toBe(true)
    expect(Buffer.byteLength(reason)).toBeLessThanOrEqual(123)
  })

  it('has one code a reason', () => {
    const codes = Object.values(CLUB_CLOSE).map((one) => one.code)
    expect(new Set(codes).size).toBe(codes.length)
  })
})
