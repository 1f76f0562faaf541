import type { Metres } from '../units.ts'
import type { CallView } from './callView.ts'
import { POINT } from './places.ts'

export type Span = { readonly from: Metres; readonly to: Metres; readonly known: boolean }

/** Usual gaps where a link or nothing is said, metres (docs/method/placement.md). */
const LINKED: Metres = 12
const UNSAID: Metres = 40

/** Calls that no feature shows, laid between their known neighbours: the called distances scaled to the real gap. First and last are known. */
export function layUnseenInPlace(calls: readonly CallView[], spans: Span[], length: Metres, odometer: number): void {
  const after = (call: CallView) =>
    call.distance > 0 ? call.distance / odometer : call.link === null ? UNSAID : LINKED
  for (let i = 1; i < spans.length - 1; i++) {
    if (spans[i]!.known) continue
    let j = i
    while (!spans[j]!.known) j++
    const from = spans[i - 1]!.to
    const to = Math.max(from, spans[j]!.from)
    const gaps = calls.slice(i - 1, j).map(after)
    const total = gaps.reduce((a, b) => a + b, 0)
    let sum = 0
    for (let k = i; k < j; k++) {
      sum += gaps[k - i]!
      const at = Math.min(length, from + ((to - from) * sum) / Math.max(1e-9, total))
      spans[k] = { from: at, to: Math.min(length, Math.max(at, Math.min(to, at + POINT))), known: true }
    }
    i = j - 1
  }
}
