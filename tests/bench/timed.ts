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

/** Processor time of the least of three runs in milliseconds, as others may be working beside. */
export function processorMs(run: () => unknown): number {
  const took = [0, 1, 2].map(() => {
    const before = process.cpuUsage()
    run()
    const { user, system } = process.cpuUsage(before)
    return Math.round((user + system) / 1000)
  })
  return Math.min(...took)
}
