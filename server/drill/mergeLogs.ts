import type { Review } from './drill.ts'

/**
 * One order for lines written on several devices. Each device's own order (by turn) is kept, even where its clock was set back; between devices the earlier
 * line comes first. A line that is there twice, by id, counts once.
 */
export function mergeLogs<T extends Pick<Review, 'id' | 'device' | 'turn' | 'at'>>(lines: readonly T[]): T[] {
  const seen = new Set<string>()
  const byDevice = new Map<string, T[]>()
  for (const line of lines) {
    if (seen.has(line.id)) continue
    seen.add(line.id)
    const list = byDevice.get(line.device)
    if (list) list.push(line)
    else byDevice.set(line.device, [line])
  }
  const queues = [...byDevice.values()]
  for (const queue of queues) queue.sort((a, b) => a.turn - b.turn)
  const heads = queues.map(() => 0)
  const merged: T[] = []
  for (;;) {
    let best = -1
    for (let i = 0; i < queues.length; i++) {
      const head = queues[i]![heads[i]!]
      if (head === undefined) continue
      const against = best < 0 ? undefined : queues[best]![heads[best]!]!
      if (against === undefined || head.at < against.at || (head.at === against.at && head.device < against.device))
        best = i
    }
    if (best < 0) return merged
    merged.push(queues[best]![heads[best]!++]!)
  }
}
