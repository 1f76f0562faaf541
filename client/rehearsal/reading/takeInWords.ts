import type { TakeSummary } from '../../../server/api/wireTakes.ts'

/** A take in one sentence of numbers. */
export function takeInWords(take: TakeSummary): string {
  const { score } = take
  if (score === null) return 'This take has not been listened to yet.'
  if (score.doubt) return score.doubt
  const { counts } = score
  const parts = [
    `${score.inWindow} of ${score.reached} calls in their window`,
    counts.early > 0 ? `${counts.early} early` : '',
    counts.late > 0 ? `${counts.late} late` : '',
    counts.skipped > 0 ? `${counts.skipped} left out` : '',
    counts.rescued > 0 ? `${counts.rescued} said by the voice` : '',
    counts['not heard'] + counts['not sure'] > 0 ? `${counts['not heard'] + counts['not sure']} not told` : '',
  ].filter(Boolean)
  return `${parts.join(', ')}; longest run without an error ${score.longestRun}.`
}

export const secondsInWords = (off: number): string =>
  Math.abs(off) < 0.05 ? 'on time' : `${Math.abs(off).toFixed(1)} s ${off > 0 ? 'after' : 'before'}`

export const dayOf = (epoch: number): string =>
  new Date(epoch * 1000).toLocaleDateString(undefined, { weekday: 'short', day: 'numeric', month: 'short' })

export const bytesInWords = (bytes: number): string =>
  bytes < 1e6
    ? `${Math.round(bytes / 1000)} kB`
    : bytes < 1e9
      ? `${(bytes / 1e6).toFixed(1)} MB`
      : `${(bytes / 1e9).toFixed(1)} GB`
