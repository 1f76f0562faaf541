import type { ClubCall } from './clubPlan.ts'
import type { Turn } from './clubWire.ts'

/** Calls a turn has at least when turns are spread by the engine: shorter, and the floor passes faster than a room can follow. */
const CALLS_A_TURN = 8

/**
 * Positions in `calls` at which `count` stretches begin: evenly by number, each moved to the longest breath within a quarter of a stretch. The first is 0;
 * fewer than `count` where there are fewer calls. Throws RangeError when count < 1.
 */
export function evenCuts(calls: readonly ClubCall[], count: number): number[] {
  if (!(Number.isInteger(count) && count >= 1)) throw new RangeError(`evenCuts: count ${count}`)
  const stretch = calls.length / count
  const cuts = new Set([0])
  for (let k = 1; k < count; k++) {
    const middle = Math.round(k * stretch)
    const room = Math.floor(stretch / 4)
    let best = middle
    let longest = -1
    for (let i = Math.max(1, middle - room); i <= Math.min(calls.length - 1, middle + room); i++) {
      const breath = calls[i]!.start - calls[i - 1]!.end
      if (breath > longest) [longest, best] = [breath, i]
    }
    if (best > 0 && best < calls.length) cuts.add(best)
  }
  return [...cuts].sort((a, b) => a - b)
}

/**
 * The floor of a run: half-open stretches of calls, by index of the call, handed round the readers in order. `marks` are the calls at which the floor passes;
 * without them stretches are spread evenly: one for each reader in a relay, else about eight calls each.
 */
export function makeTurns(q: {
  calls: readonly ClubCall[]
  readers: readonly { readonly id: string; readonly name: string }[]
  marks: readonly number[] | undefined
  relay: boolean
}): Turn[] {
  const { calls, readers } = q
  if (calls.length === 0) return []
  const round = Math.max(1, readers.length)
  const count = q.relay ? round : Math.max(Math.min(round, calls.length), Math.ceil(calls.length / CALLS_A_TURN))
  const cuts = q.marks
    ? [0, ...new Set(q.marks.map((mark) => calls.findIndex((call) => call.index >= mark)).filter((at) => at > 0))].sort(
        (a, b) => a - b,
      )
    : evenCuts(calls, count)
  return cuts.map((cut, k) => {
    const reader = readers[k % round]
    return {
      from: calls[cut]!.index,
      to: cuts[k + 1] === undefined ? calls.at(-1)!.index + 1 : calls[cuts[k + 1]!]!.index,
      member: reader?.id ?? null,
      name: reader?.name ?? 'nobody yet',
    }
  })
}
