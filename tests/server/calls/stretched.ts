import type { CallDuration } from '../../../server/calls/plan.ts'

/** A call in which one element takes `seconds` instead of what it took; those after it move with it. */
export function stretched(call: CallDuration, element: number, seconds: number): CallDuration {
  const end = call.elementEnds[element]!
  const before = element === 0 ? 0 : call.elementEnds[element - 1]!
  const change = seconds - (end - before)
  return {
    duration: call.duration + change,
    elementEnds: call.elementEnds.map((one, e) =>
      e < element ? one : e === element && seconds === 0 ? null : one! + change,
    ),
  }
}
