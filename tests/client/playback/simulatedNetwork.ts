import { type Exchange, exchangePause, type ServerClock } from '../../../client/playback/serverClock.ts'

/** Delay of one message in one direction, seconds. */
export type Way = (random: () => number, at: number) => number

/** Each way 100–300 ms: 200 ± 100 ms; one message in fifty is lost and sent again 200–400 ms later, as TCP does. */
export const farAway: Way = (random) => 0.1 + 0.2 * random() + (random() < 0.02 ? 0.2 + 0.2 * random() : 0)
/** Club wifi: a floor, an exponential tail, a burst now and then, losses. */
export const wifi = (floor: number, mean: number): Way => {
  let until = -1
  return (random, at) => {
    if (at > until + 15 && random() < 0.02) until = at + 0.2 + 1.8 * random()
    const tail = Math.min(0.027, -mean * Math.log(1 - random()))
    return floor + tail + (at < until ? 0.2 * random() : 0) + (random() < 0.02 ? 0.2 + 0.2 * random() : 0)
  }
}

/**
 * A phone against a server whose time is the truth. Its clock is off by `offset`, drifts, may freeze (sleep), and its messages keep their order in each
 * direction. Exchanges are made as the pages make them.
 */
export function simulatedPhone(q: {
  random: () => number
  up: Way
  down: Way
  offset: number
  drift: number
  clock: ServerClock
}) {
  const { random, clock } = q
  let truth = 1_900_000_000
  const zero = truth
  let frozen = 0
  let [lastUp, lastDown] = [0, 0]
  let [done, first] = [0, 0]
  const pending: { at: number; exchange: Exchange }[] = []
  let next = truth
  const pageAt = (t: number) => q.offset + (t - zero - frozen) * (1 + q.drift)

  function ask(): void {
    const t1 = pageAt(truth) + 0.0003 * random()
    lastUp = Math.max(lastUp, truth + q.up(random, truth - zero))
    const t2 = lastUp
    const t3 = t2 + 0.0002 * random()
    lastDown = Math.max(lastDown, t3 + q.down(random, t3 - zero))
    pending.push({ at: lastDown, exchange: { t1, t2, t3, t4: pageAt(lastDown) + 0.0003 * random() } })
  }
  return {
    /** Lives `seconds` of true time. */
    live(seconds: number): void {
      const until = truth + seconds
      for (;;) {
        const arrival = pending[0]?.at ?? Number.POSITIVE_INFINITY
        const step = Math.min(arrival, next)
        if (step > until) break
        truth = step
        if (arrival <= next) clock.add(pending.shift()!.exchange)
        else {
          ask()
          next = truth + exchangePause(done, truth - zero - first)
          done += 1
        }
      }
      truth = until
    },
    /**
     * The radio and the clock stand still; whatever was on its way is lost. The page sees it wake and reads the wall clock, in whole milliseconds and `wrong`
     * by what the phone was set meanwhile; null: it sees nothing.
     */
    sleep(seconds: number, wrong: number | null): void {
      pending.length = 0
      truth += seconds
      frozen += seconds
      next = truth
      lastUp = lastDown = truth
      if (wrong !== null) {
        clock.woke(Math.round(1000 * (seconds + wrong + (random() - 0.5) * 0.001)) / 1000)
        done = 0
        first = truth - zero
      }
    },
    /** Seconds the phone is wrong about the server's time now. */
    error: () => Math.abs(clock.serverAt(pageAt(truth)) - truth),
    truth: () => truth,
  }
}

export function percentile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b)
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!
}
