import type { AudioTime, Metres, Seconds, StageTime } from '../../server/units.ts'
import { type CarState, carAtInPlace, type ProfileTable, stationAt, timeAtStation } from './carAt.ts'
import { type Anchor, audioAt, later, stageAt } from './clocks.ts'
import { callsStarting, firstFrom, type TimedCall } from './scheduleCalls.ts'
import type { SoundCard, Sounding } from './soundCard.ts'

/** What is ridden: calls by start, and the car's profile. */
export interface Run {
  readonly calls: readonly TimedCall[]
  readonly profile: ProfileTable
  /** Clips of the spoken count, a second apart, the last on the line; tones where there are none. */
  readonly countIn?: readonly string[]
}

/** A start that was committed to the sound card, for checks from outside: both clocks, and whether its clip was ready. */
export interface ScheduledStart {
  readonly call: number
  readonly stage: StageTime
  readonly audio: AudioTime
  readonly clip: string | null
}

export type PlayerStatus = 'ready' | 'riding' | 'held' | 'finished'

/** Calls are committed this far ahead: longer than a busy page's pause, short enough that a change of plan is heard at once. */
export const COMMIT_AHEAD: Seconds = 0.35
/** Clips are fetched and decoded this far ahead. */
const LOAD_AHEAD: Seconds = 15
/** The count before a start, seconds. */
export const COUNT: Seconds = 3
/** Length of a word of the count, about. */
const WORD: Seconds = 0.6
/** Breath before a call that a change of plan has overtaken. */
const BREATH: Seconds = 0.15

interface Committed extends ScheduledStart {
  readonly until: AudioTime
  sound: Sounding | null
}

/**
 * Rides a run on the sound card's clock. Nothing here keeps time of its own: `wake(ahead)` is called every so often and deals
 * with the stretch of the stage since the last wake, so that a late wake moves no sound.
 */
export function createPlayer(card: SoundCard, first: Run) {
  let run = first
  let status: PlayerStatus = 'ready'
  let anchor: Anchor = { stage: 0, audio: card.now(), rate: 0 }
  /** Everything before it has been handed out. */
  let dealt: StageTime = 0
  let committed: Committed[] = []
  let ticks: Sounding[] = []
  let loop: { from: StageTime; to: StageTime } | null = null
  /** The ride waits here: nothing that starts at or after it is said. */
  let gate: StageTime | null = null
  const log: ScheduledStart[] = []
  const listeners = new Set<() => void>()
  const car: CarState = { station: 0, speed: 0 }

  const announce = () => {
    for (const listener of listeners) listener()
  }
  const end = () => later(run.profile.time[run.profile.time.length - 1]!, 1)
  const startOfRun = () => Math.min(-COUNT, (run.calls[0]?.start ?? 0) - 0.5) as StageTime

  function silence(everything: boolean) {
    const now = card.now()
    committed = committed.filter((one) => {
      if (!everything && one.audio <= now) return true
      if (one.until > now) one.sound?.stop()
      return false
    })
    for (const tick of ticks) tick.stop()
    ticks = []
  }

  function commit(call: TimedCall, at: AudioTime) {
    const entry: Committed = {
      call: call.index,
      stage: call.start,
      audio: at,
      clip: call.clip,
      until: later(at, call.end - call.start),
      sound: null,
    }
    committed.push(entry)
    log.push({ call: entry.call, stage: entry.stage, audio: entry.audio, clip: entry.clip })
    const clip = call.clip
    if (clip === null) return
    if (card.has(clip)) entry.sound = card.play(clip, at)
    else {
      // Heard late it would be heard at the wrong place: a clip that comes after its moment stays silent, the caption does not.
      card.load(clip).then(
        () => {
          if (committed.includes(entry) && card.now() <= at) entry.sound = card.play(clip, at)
        },
        () => {},
      )
    }
  }

  /** One word of the count, or a tone: where a call is being said, and where the word has not come yet. */
  function counted(at: StageTime, k: number): Sounding {
    const words = run.countIn ?? []
    const word = words[words.length - 1 - k]
    const talking = run.calls.some((call) => call.start < at + WORD && call.end > at && call.start >= dealt)
    const when = audioAt(anchor, at)
    return word !== undefined && card.has(word) && !talking ? card.play(word, when) : card.tick(when, k === 0)
  }

  function rideFrom(stage: StageTime, firstCall: StageTime, count: StageTime | null) {
    silence(true)
    anchor = { stage, audio: later(card.now(), 0.08), rate: 1 }
    dealt = firstCall
    if (count !== null) {
      for (let k = COUNT; k >= 0; k--) {
        if (count - k >= stage) ticks.push(counted(later(count, -k), k))
      }
    }
    status = 'riding'
    wake()
    announce()
  }

  /** Commits what starts within `ahead` seconds, fetches what comes after, and ends or loops the run. */
  function wake(ahead: Seconds = COMMIT_AHEAD) {
    const now = stageAt(anchor, card.now())
    for (const word of run.countIn ?? []) if (!card.has(word)) card.load(word).catch(() => {})
    for (const call of callsStarting(run.calls, { from: dealt, to: later(now, LOAD_AHEAD) })) {
      if (call.clip !== null && !card.has(call.clip)) card.load(call.clip).catch(() => {})
    }
    if (status !== 'riding') return
    if (loop && now >= loop.to) return rideFrom(later(loop.from, -COUNT), loop.from, loop.from)
    const to = Math.min(later(now, ahead), loop?.to ?? Infinity, gate ?? Infinity) as StageTime
    if (to > dealt) {
      for (const call of callsStarting(run.calls, { from: dealt, to })) commit(call, audioAt(anchor, call.start))
      dealt = to
    }
    committed = committed.filter((one) => one.until > later(card.now(), -2))
    if (gate !== null && now >= gate) {
      anchor = { stage: gate, audio: card.now(), rate: 0 }
      dealt = gate
      status = 'held'
      announce()
    } else if (now >= end()) {
      anchor = { stage: end(), audio: card.now(), rate: 0 }
      status = 'finished'
      announce()
    }
  }

  return {
    wake,
    log: log as readonly ScheduledStart[],
    status: () => status,
    loop: () => loop,
    /** The stage time being heard now. */
    stageHeard: (): StageTime => stageAt(anchor, card.heard()),
    run: () => run,
    subscribe(listener: () => void) {
      listeners.add(listener)
      return () => void listeners.delete(listener)
    },
    /** From the beginning, with a count to the start line. */
    start() {
      loop = null
      const from = startOfRun()
      rideFrom(from, from, 0)
    },
    pause() {
      if (status !== 'riding') return
      const now = stageAt(anchor, card.now())
      // A call cut off in the middle is said again from its beginning.
      const cut = committed.find((one) => one.until > card.now())
      silence(true)
      anchor = { stage: now, audio: card.now(), rate: 0 }
      dealt = cut ? (Math.min(cut.stage, now) as StageTime) : now
      status = 'held'
      announce()
    },
    resume() {
      if (status !== 'held') return
      const back = Math.min(dealt, anchor.stage) as StageTime
      rideFrom(back, back, null)
    },
    /** To the call at `position` of the run: a count, then the call. Throws RangeError when there is none. */
    jumpTo(position: number) {
      const call = run.calls[position]
      if (!call) throw new RangeError(`jumpTo: no call ${position} of ${run.calls.length}`)
      rideFrom(later(call.start, -COUNT), call.start, call.start)
    },
    /** To a moment, without a count; calls that start before it are not said. */
    jumpToTime(t: StageTime) {
      if (Number.isNaN(t)) throw new RangeError(`jumpToTime: ${t}`)
      if (status === 'riding') return rideFrom(t, t, null)
      silence(true)
      anchor = { stage: t, audio: card.now(), rate: 0 }
      dealt = t
      status = 'held'
      announce()
    },
    /** The position of the call said or next at the time heard. */
    position(): number {
      const t = stageAt(anchor, card.heard())
      const next = firstFrom(run.calls, t)
      return next > 0 && run.calls[next - 1]!.end > t ? next - 1 : next
    },
    /**
     * Rides no further than a stage time until the gate is lifted by null or set further on; a ride that waits at it goes on then. What was committed at or
     * after it is taken back. NaN throws RangeError.
     */
    gateAt(t: StageTime | null) {
      if (Number.isNaN(t)) throw new RangeError(`gateAt: ${t}`)
      const waited = status === 'held' && gate !== null && anchor.stage === gate
      gate = t
      if (t !== null && t < dealt) {
        for (const one of committed) if (one.stage >= t && one.audio > card.now()) one.sound?.stop()
        committed = committed.filter((one) => one.stage < t || one.audio <= card.now())
        dealt = Math.max(t, stageAt(anchor, card.now())) as StageTime
      }
      if (waited && (t === null || t > anchor.stage)) rideFrom(anchor.stage, anchor.stage, null)
    },
    /** Waiting at the gate. */
    waiting: () => status === 'held' && gate !== null && anchor.stage === gate,
    loopBetween(part: { from: StageTime; to: StageTime } | null) {
      loop = part
      announce()
    },
    /**
     * Another plan under way. The car stays where it is: the station is kept, not the time. Calls being heard finish; those
     * committed but not begun are taken back and come at their new time; one that the new plan would have begun already is said
     * as soon as the mouth is free.
     */
    change(next: Run) {
      const now = card.now()
      const at = stageAt(anchor, now)
      carAtInPlace(run.profile, at, car)
      const station: Metres = car.station
      const before = at <= 0
      const begun = committed.filter((one) => one.audio <= now)
      const takenBack = committed.filter((one) => one.audio > now).map((one) => one.call)
      const free = begun.reduce((until, one) => Math.max(until, one.until), now as number) as AudioTime
      const nextUnsaid = takenBack[0] ?? run.calls[firstFrom(run.calls, dealt)]?.index ?? Number.POSITIVE_INFINITY
      silence(false)
      const stage = before ? at : timeAtStation(next.profile, station)
      if (loop) {
        loop = {
          from: next.calls.find((one) => one.start >= loop!.from)?.start ?? loop.from,
          to: timeAtStation(next.profile, stationAt(run.profile, loop.to)),
        }
      }
      run = next
      anchor = { stage, audio: now, rate: anchor.rate }
      dealt = stage
      if (status === 'riding') {
        let mouth = free
        for (const call of run.calls) {
          if (call.index < nextUnsaid) {
            // Said already; the new plan must not say it again.
            if (call.start >= dealt) dealt = later(call.start, 1e-6)
            continue
          }
          const due = audioAt(anchor, call.start)
          if (due >= mouth) break
          const late = mouth > now ? later(mouth, BREATH) : now
          commit(call, late)
          mouth = later(late, call.end - call.start)
          dealt = Math.max(dealt, later(call.start, 1e-6)) as StageTime
        }
      }
      wake()
      announce()
    },
    dispose() {
      silence(true)
      listeners.clear()
    },
  }
}

export type Player = ReturnType<typeof createPlayer>
