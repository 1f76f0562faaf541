import { performance } from 'node:perf_hooks'

/** Median and best of `times` runs in milliseconds, after as many again (at most ten) to warm up. */
export function timed(times: number, run: () => unknown): { median: number; best: number } {
  for (let i = 0; i < Math.min(10, times); i++) run()
  const took = Array.from({ length: times }, () => {
    const from = performance.now()
    run()
    return performance.now() - from
  }).sort((a, b) => a - b)
  return { median: took[took.length >> 1]!, best: took[0]! }
}
