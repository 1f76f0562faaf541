import type { SoundCard } from '../../../client/playback/soundCard.ts'
import type { AudioTime } from '../../../server/units.ts'

/** A sound card stepped by hand; every clip is there at once. */
export function fakeCard() {
  const heard: { clip: string; at: number; stopped: boolean }[] = []
  let time = 100
  const card: SoundCard = {
    now: () => time as AudioTime,
    heard: () => time as AudioTime,
    load: () => Promise.resolve(),
    has: () => true,
    play(clip, at) {
      const entry = { clip, at: at as number, stopped: false }
      heard.push(entry)
      return {
        stop() {
          entry.stopped = true
        },
      }
    },
    tick: () => ({ stop() {} }),
    resume: () => Promise.resolve(),
    close() {},
  }
  return {
    card,
    heard,
    step(seconds: number) {
      time += seconds
    },
  }
}

/** A car at constant `speed` over `length` metres, and a call every `every` seconds lasting one second. */
export function evenRun(speed: number, length: number, every: number) {
  const profile = { station: [0, length], speed: [speed, speed], time: [0, length / speed] }
  const calls = []
  for (let i = 0; (i + 0.5) * every * speed < length; i++) {
    const start = (i + 0.5) * every
    calls.push({ index: i, start, end: start + 1, clip: `clip ${i}` })
  }
  return { profile, calls }
}
