import type { Seconds } from '../units.ts'

/** Silence: below −48 dB of full scale for longer than a blink at either end. */
const QUIET = 130
const SLICE: Seconds = 0.002

/**
 * A clip with silence cut at head and tail, and the end of each word. Silence at the head makes a call heard late, at the tail makes the next start
 * late. `starts` are word starts in seconds of the untrimmed clip, null where the engine told none; a word ends where the next begins, less the silence
 * before that. Ends are non-decreasing, the last is the clip's length. A clip that is all silence comes back whole.
 */
export function trimClip(q: { samples: Int16Array; sampleRate: number; starts: readonly (number | null)[] }): {
  samples: Int16Array
  wordEnds: Seconds[]
} {
  const { samples, sampleRate } = q
  let from = 0
  while (from < samples.length && Math.abs(samples[from]!) < QUIET) from++
  let to = samples.length
  while (to > from && Math.abs(samples[to - 1]!) < QUIET) to--
  if (from === to) {
    from = 0
    to = samples.length
  }
  const length = (to - from) / sampleRate
  const ends: Seconds[] = []
  let end = length
  for (let w = q.starts.length - 1; w >= 0; w--) {
    ends[w] = end
    const start = q.starts[w]
    if (start === null || start === undefined) continue
    end = Math.min(
      end,
      Math.max(0, soundBefore(samples, Math.round(start * sampleRate), from, sampleRate) / sampleRate),
    )
  }
  for (let w = 1; w < ends.length; w++) ends[w] = Math.max(ends[w]!, ends[w - 1]!)
  return { samples: samples.slice(from, to), wordEnds: ends }
}

/** Samples after `from` at which sound last stood before `at`: the pause before a word belongs to no word. */
function soundBefore(samples: Int16Array, at: number, from: number, sampleRate: number): number {
  const slice = Math.max(1, Math.round(SLICE * sampleRate))
  let end = Math.min(samples.length, at)
  while (end - slice > from) {
    let loudest = 0
    for (let i = end - slice; i < end; i++) loudest = Math.max(loudest, Math.abs(samples[i]!))
    if (loudest >= QUIET) break
    end -= slice
  }
  return end - from
}
