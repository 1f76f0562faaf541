import type { EpochTime, StageTime } from '../units.ts'
import type { Segment } from './clubWire.ts'

/** Segments kept of one run: what taps of the last pauses are read against. */
const KEPT = 200

/** The segment that holds at `t`: the last whose `at` is <= t; null before the first. `timeline` ascends. */
export function segmentAt(timeline: readonly Segment[], t: EpochTime): Segment | null {
  for (let i = timeline.length - 1; i >= 0; i--) if (timeline[i]!.at <= t) return timeline[i]!
  return null
}

/** Stage time at `t`: pos + rate · (t − at); null before the first segment. */
export function positionAt(timeline: readonly Segment[], t: EpochTime): StageTime | null {
  const one = segmentAt(timeline, t)
  return one === null ? null : ((one.pos + one.rate * (t - one.at)) as StageTime)
}

/** `next` in the place of everything from its moment on. The oldest go when there are more than are kept. */
export function withSegment(timeline: readonly Segment[], next: Segment): Segment[] {
  if (!Number.isFinite(next.at + next.pos)) throw new RangeError(`withSegment: at ${next.at}, pos ${next.pos}`)
  return [...timeline.filter((one) => one.at < next.at), next].slice(-KEPT)
}
