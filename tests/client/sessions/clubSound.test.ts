import { describe, expect, it } from 'vitest'
import { AudioClock } from '../../../client/playback/audioClock.ts'
import { ServerClock } from '../../../client/playback/serverClock.ts'
import type { SoundCard } from '../../../client/playback/soundCard.ts'
import { ClubSound } from '../../../client/sessions/clubSound.ts'
import { EMPTY_ROOM } from '../../../client/sessions/clubView.ts'
import type { RoomState, Segment } from '../../../server/sessions/clubWire.ts'
import { seededRandom } from '../../seededRandom.ts'

const AHEAD = 1000 // server = page + 1000
const CARD = 50 // card = page + 50

/** One second-long call every four seconds, from 2 s on. */
const calls = Array.from({ length: 30 }, (_, index) => ({
  index,
  start: 2 + 4 * index,
  end: 3 + 4 * index,
  clip: `clip ${index}`,
}))

function phone() {
  let page = 0
  const heard: { clip: string; at: number; offset: number; stopped: number | null }[] = []
  const ticks: number[] = []
  const card: SoundCard = {
    now: () => page + CARD,
    heard: () => page + CARD,
    load: async () => {},
    has: () => true,
    play(clip, at, offset = 0) {
      const one = { clip, at: at as number, offset, stopped: null as number | null }
      heard.push(one)
      return {
        stop: (when) => {
          one.stopped = when ?? page + CARD
        },
      }
    },
    tick(at) {
      ticks.push(at)
      return { stop: () => {} }
    },
    resume: async () => {},
    close() {},
  }
  const clock = new ServerClock()
  for (let i = 0; i < 30; i++) clock.add({ t1: 0, t2: AHEAD, t3: AHEAD, t4: 0 })
  const audio = new AudioClock()
  audio.add({ audio: CARD, page: 0 })
  const sound = new ClubSound({ card, clock, audio, calls: () => calls, pageNow: () => page })
  return {
    sound,
    heard,
    ticks,
    live(room: RoomState, seconds: number, every = () => 0.1) {
      for (const until = page + seconds; page < until; page += every()) sound.wake(room)
    },
  }
}

const room = (...timeline: Segment[]): RoomState => ({
  ...EMPTY_ROOM,
  run: {
    id: 1,
    mode: 'listen',
    title: 'Even',
    plans: [{ id: 'p', begins: -3, ends: 130, label: '' }],
    turns: [],
    quiz: [],
    voice: true,
  },
  timeline,
})
const ride = (at: number, pos: number): Segment => ({ at, pos, rate: 1, plan: 'p' })
const hold = (at: number, pos: number): Segment => ({ at, pos, rate: 0, plan: 'p' })

describe('sound of a room on one device', () => {
  it('starts every call once, at its own moment of the card, however late the wakes come', () => {
    const { heard, live } = phone()
    const random = seededRandom(2)
    live(room(ride(AHEAD + 1, -3)), 40, () => 0.05 + 0.25 * random())
    expect(heard.map((one) => one.clip)).toEqual(calls.slice(0, 9).map((call) => call.clip))
    for (const [i, one] of heard.entries()) expect(one.at).toBeCloseTo(CARD + 1 + 3 + calls[i]!.start, 6)
  })

  it('counts in with four ticks to the line', () => {
    const { ticks, live } = phone()
    live(room(ride(AHEAD + 1, -3)), 10)
    expect(ticks.map((one) => one - CARD)).toEqual([1, 2, 3, 4].map((at) => expect.closeTo(at, 6)))
  })

  it('starts nothing after a pause that it heard of in time, and cuts what sounds at its moment', () => {
    const { heard, live } = phone()
    const playing = room(ride(AHEAD + 1, -3))
    live(playing, 6.2) // call 0 starts at 6
    live(room(...playing.timeline, hold(AHEAD + 6.5, 2.5)), 20)
    expect(heard).toHaveLength(1)
    expect(heard[0]!.stopped).toBeCloseTo(CARD + 6.5, 6)
  })

  it('stops at once when it hears of the pause too late', () => {
    const { heard, live } = phone()
    const playing = room(ride(AHEAD + 1, -3))
    live(playing, 6.6)
    live(room(...playing.timeline, hold(AHEAD + 5, 1)), 5)
    expect(heard[0]!.stopped).toBeGreaterThanOrEqual(CARD + 6.5)
  })

  it('takes back calls committed beyond a jump, and speaks from the new place', () => {
    const { heard, live } = phone()
    const playing = room(ride(AHEAD + 1, -3))
    live(playing, 5.8) // call 0, at 6, is committed
    live(room(...playing.timeline, ride(AHEAD + 5.9, 40)), 8)
    expect(heard.filter((one) => one.stopped === null).map((one) => one.clip)).toEqual(['clip 10', 'clip 11'])
  })

  it('lets a late joiner in at the right second, without making up for what is past', () => {
    const { heard, live } = phone()
    live(room(ride(AHEAD - 50, 0)), 5)
    // At page 0 the run is at 50; calls 12 (50 to 51) and before are past or all but over.
    expect(heard.map((one) => [one.clip, one.at - CARD])).toEqual([['clip 13', expect.closeTo(4, 6)]])
  })

  it('is silent where phones do not speak, and where it is muted', () => {
    const silent = phone()
    const quiet = room(ride(AHEAD + 1, -3))
    silent.live({ ...quiet, run: { ...quiet.run!, voice: false } }, 10)
    const muted = phone()
    muted.sound.muted = true
    muted.live(quiet, 10)
    expect([silent.heard, muted.heard, muted.ticks]).toEqual([[], [], []])
  })

  it('is heard earlier by what its owner says it is late', () => {
    const { sound, heard, live } = phone()
    sound.clap = 0.12
    live(room(ride(AHEAD + 1, -3)), 7)
    expect(heard[0]!.at).toBeCloseTo(CARD + 6 - 0.12, 6)
  })
})
