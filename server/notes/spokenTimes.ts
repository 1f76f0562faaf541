import type { Call } from './notes.ts'
import { type CaptionNotes, withTimeHints } from './readCaptions.ts'
import { tokenize } from './tokens.ts'

/** Edits beyond this many words are not followed: what is behind them keeps no time. */
const MOST_EDITS = 2000

/**
 * Calls of notes that came from captions, with the second each was spoken at, also after the notes were edited: words that the captions and the notes have
 * in common are paired in order (a shortest edit script, Myers 1986, from memory), and a call takes the time of the first of its words that was spoken.
 * A call of which no word was spoken keeps no time.
 */
export function withSpokenTimes(calls: readonly Call[], text: string, captions: CaptionNotes): Call[] {
  if (text === captions.text) return withTimeHints(calls, captions.cues)
  const spoken = tokenize(captions.text)
  const written = tokenize(text)
  const pairs = paired(
    spoken.map((token) => token.text),
    written.map((token) => token.text),
  )
  let at = 0
  return calls.map((call) => {
    while (at < pairs.length && written[pairs[at]![1]]!.from < call.from) at++
    const pair = pairs[at]
    if (pair === undefined || written[pair[1]]!.from >= call.to) return call
    const { from } = spoken[pair[0]]!
    return withTimeHints([{ ...call, from }], captions.cues).map((one) => ({ ...one, from: call.from }))[0]!
  })
}

/** Pairs [i, j] of equal words of two texts, in the order of both: what a shortest edit script leaves, as far as MOST_EDITS edits reach. */
function paired(a: readonly string[], b: readonly string[]): [number, number][] {
  const most = Math.min(a.length + b.length, MOST_EDITS)
  /** Furthest place in `a` on each diagonal i − j = k after so many edits. */
  const furthest = new Int32Array(2 * most + 3)
  const middle = most + 1
  const rounds: Int32Array[] = []
  let far = { i: 0, k: 0, edits: 0 }
  for (let edits = 0; edits <= most; edits++) {
    for (let k = -edits; k <= edits; k += 2) {
      let i = edits === 0 ? 0 : next(furthest, middle + k, k, edits)
      while (i < a.length && i - k < b.length && a[i] === b[i - k]) i++
      furthest[middle + k] = i
      if (i <= a.length && i - k <= b.length && 2 * i - k > 2 * far.i - far.k) far = { i, k, edits }
    }
    rounds.push(furthest.slice(middle - edits, middle + edits + 1))
    if (far.i === a.length && far.i - far.k === b.length) break
  }
  return walkBack(rounds, far)
}

/** Where a diagonal is entered with one edit more: a word of `b` more, or one of `a` less. */
function next(furthest: Int32Array, at: number, k: number, edits: number): number {
  return k === -edits || (k !== edits && furthest[at - 1]! < furthest[at + 1]!)
    ? furthest[at + 1]!
    : furthest[at - 1]! + 1
}

function walkBack(rounds: readonly Int32Array[], far: { i: number; k: number; edits: number }): [number, number][] {
  const pairs: [number, number][] = []
  let { i, k } = far
  for (let { edits } = far; edits >= 0; edits--) {
    const before = edits === 0 ? null : rounds[edits - 1]!
    const middle = edits - 1
    const more = before !== null && (k === -edits || (k !== edits && before[middle + k - 1]! < before[middle + k + 1]!))
    const entered = before === null ? 0 : more ? before[middle + k + 1]! : before[middle + k - 1]! + 1
    while (i > entered) {
      i--
      pairs.push([i, i - k])
    }
    if (before === null) break
    i = more ? entered : entered - 1
    k += more ? 1 : -1
  }
  return pairs.reverse()
}
