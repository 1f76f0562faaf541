import type { RoomState, Segment } from '../../server/sessions/clubWire.ts'
import type { AudioTime, EpochTime, Seconds, StageTime } from '../../server/units.ts'
import type { AudioClock } from '../playback/audioClock.ts'
import { firstFrom, type TimedCall } from '../playback/scheduleCalls.ts'
import type { PageTime, ServerClock } from '../playback/serverClock.ts'
import type { SoundCard, Sounding } from '../playback/soundCard.ts'

/** Sounds are committed to the card between these many seconds before they are heard. */
const COMMIT_AHEAD: Seconds = 0.35
const SOONEST: Seconds = 0.05
/** A page in the background is woken once a second, and looks so far ahead. */
export const AHEAD_HIDDEN: Seconds = 1.6
const LOAD_AHEAD: Seconds = 20
/** A call missed by a late joiner is entered in its middle when more than this of it is left. */
const WORTH_ENTERING: Seconds = 1
const COUNT = [-3, -2, -1, 0] as const

export interface ClubSoundDeps {
  readonly card: SoundCard
  readonly clock: ServerClock
  readonly audio: AudioClock
  /** Calls of a plan by start, or null while it is not fetched. */
  readonly calls: (plan: string) => readonly TimedCall[] | null
  readonly pageNow: () => PageTime
}

/** A start given to the card, for checks from outside: on the server's clock and on the card's. */
export interface ClubStart {
  readonly call: number
  readonly server: EpochTime
  readonly audio: AudioTime
  readonly clip: string | null
}

interface Committed extends ClubStart {
  readonly ends: EpochTime
  readonly sound: Sounding
  readonly segment: Segment
}

/**
 * Speaks a room's run through this device: every call is a start of its own on the card's clock, mapped there from the server's, so that nothing drifts and
 * a late wake moves nothing. `wake` deals with the stretch of server time since the last one.
 */
export class ClubSound {
  /** What was given to the card, oldest first; bounded. */
  readonly log: ClubStart[] = []
  private timeline: readonly Segment[] = []
  private dealt: EpochTime = 0
  private committed: Committed[] = []
  private readonly deps: ClubSoundDeps
  muted = false
  /** How much later than told this device is heard (a person's own setting). */
  clap: Seconds = 0

  constructor(deps: ClubSoundDeps) {
    this.deps = deps
  }

  /** The moment on the card at which server time `t` is to be heard. */
  when(t: EpochTime): AudioTime {
    return (this.deps.audio.audioAt(this.deps.clock.pageAt(t)) - this.clap) as AudioTime
  }

  /** Another timeline: what it takes back is stopped at its moment, or now when that is past. */
  private follow(next: readonly Segment[], now: EpochTime): void {
    const changed = next.find((one, i) => !sameSegment(one, this.timeline[i]))
    const from = Math.max(
      now,
      Math.min(changed?.at ?? Number.POSITIVE_INFINITY, this.timeline[next.length]?.at ?? Number.POSITIVE_INFINITY),
    )
    this.timeline = next
    this.committed = this.committed.filter((one) => {
      if (one.ends <= from) return true
      one.sound.stop(from <= now ? undefined : this.when(from as EpochTime))
      return one.server < from
    })
    this.dealt = Math.min(this.dealt, from) as EpochTime
  }

  /** Commits what is to be heard within `ahead` seconds, and fetches what comes after. */
  wake(room: RoomState, ahead: Seconds = COMMIT_AHEAD): void {
    const { clock, audio } = this.deps
    if (!clock.usable || !audio.ready) return
    const now = clock.serverAt(this.deps.pageNow())
    if (room.timeline !== this.timeline) this.follow(room.timeline, now)
    const voice = (room.run?.voice ?? false) && !this.muted
    if (this.dealt < now - 1) this.enter(now, voice)
    const to = (now + ahead) as EpochTime
    for (const [i, segment] of this.timeline.entries()) {
      if (segment.rate === 0) continue
      const from = Math.max(this.dealt, segment.at)
      const until = Math.min(to, this.timeline[i + 1]?.at ?? Number.POSITIVE_INFINITY)
      if (until > from) this.deal(segment, from as EpochTime, until as EpochTime, room, voice)
      if (voice) this.fetch(segment, now)
    }
    this.dealt = Math.max(this.dealt, to) as EpochTime
    this.committed = this.committed.filter((one) => one.ends > now - 1)
  }

  /** Commits the starts of one segment within [from, until) of server time. */
  private deal(segment: Segment, from: EpochTime, until: EpochTime, room: RoomState, voice: boolean): void {
    const stage = (t: EpochTime) => segment.pos + (t - segment.at)
    const begins = room.run?.plans.find((one) => one.id === segment.plan)?.begins ?? 0
    const line = begins < 0 ? 0 : begins + 3
    for (const k of COUNT) {
      const at = line + k
      if (!this.muted && at >= stage(from) && at < stage(until)) {
        const server = (segment.at + at - segment.pos) as EpochTime
        const when = this.when(server)
        this.keep({ call: -1, server, audio: when, clip: null }, 0.3, this.deps.card.tick(when, k === 0), segment)
      }
    }
    const calls = voice ? this.deps.calls(segment.plan) : null
    if (!calls) return
    for (let i = firstFrom(calls, stage(from) as StageTime); i < calls.length && calls[i]!.start < stage(until); i++) {
      this.commit(calls[i]!, segment, 0)
    }
  }

  private commit(call: TimedCall, segment: Segment, offset: Seconds): void {
    const { card } = this.deps
    const { clip } = call
    if (clip === null) return
    const server = (segment.at + call.start + offset - segment.pos) as EpochTime
    const audio = this.when(server)
    const start = { call: call.index, server, audio, clip }
    // Heard late it would be heard at the wrong place: what is not here in time stays silent.
    if (!card.has(clip)) {
      card.load(clip).catch(() => {})
      return
    }
    this.keep(start, call.end - call.start - offset, card.play(clip, audio, offset), segment)
  }

  private keep(start: ClubStart, lasts: Seconds, sound: Sounding, segment: Segment): void {
    this.log.push(start)
    if (this.log.length > 400) this.log.shift()
    this.committed.push({ ...start, ends: (start.server + lasts) as EpochTime, sound, segment })
  }

  /** After a join or a sleep: nothing past is made up for, but a call with enough of it left is entered in its middle. */
  private enter(now: EpochTime, voice: boolean): void {
    this.dealt = (now + SOONEST) as EpochTime
    const segment = this.timeline.findLast((one) => one.at <= now)
    if (!voice || !segment || segment.rate === 0) return
    const calls = this.deps.calls(segment.plan)
    const pos = segment.pos + (now - segment.at) + COMMIT_AHEAD / 2
    const under = calls?.find((call) => call.start < pos && call.end > pos + WORTH_ENTERING)
    if (under && !this.committed.some((one) => one.call === under.index)) this.commit(under, segment, pos - under.start)
  }

  private fetch(segment: Segment, now: EpochTime): void {
    const { card } = this.deps
    const calls = this.deps.calls(segment.plan)
    if (!calls) return
    const pos = segment.pos + Math.max(0, now - segment.at)
    for (
      let i = firstFrom(calls, (pos - 5) as StageTime);
      i < calls.length && calls[i]!.start < pos + LOAD_AHEAD;
      i++
    ) {
      const clip = calls[i]!.clip
      if (clip !== null && !card.has(clip)) card.load(clip).catch(() => {})
    }
  }

  /** Fetches the first sound of a plan; resolves with whether it is all here. */
  async prepare(plan: string, from: StageTime): Promise<boolean> {
    const calls = this.deps.calls(plan)
    if (!calls) return false
    const clips = calls
      .filter((call) => call.start >= from - 1 && call.start < from + LOAD_AHEAD)
      .flatMap((call) => call.clip ?? [])
    const got = await Promise.allSettled(clips.map((clip) => this.deps.card.load(clip)))
    return got.every((one) => one.status === 'fulfilled')
  }

  /** Silence, at once. */
  stop(): void {
    for (const one of this.committed) one.sound.stop()
    this.committed = []
    this.timeline = []
  }
}

const sameSegment = (one: Segment, other: Segment | undefined): boolean =>
  other !== undefined &&
  one.at === other.at &&
  one.pos === other.pos &&
  one.rate === other.rate &&
  one.plan === other.plan
