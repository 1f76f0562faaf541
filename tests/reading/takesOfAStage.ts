import { aboutTake } from '../../client/rehearsal/reading/ride.ts'
import type { PlanDocument } from '../../server/api/wire.ts'
import type { HeardWire } from '../../server/api/wireTakes.ts'
import type { TakeStore } from '../../server/library/takeStore.ts'
import { seededNormal, seededRandom } from '../seededRandom.ts'

const DAY = 86_400

/**
 * Takes of a plan over days, with what was heard made up: a crew that gets better from 0.9 s to 0.3 s of spread, reads 5.5 syllables a second, and is always late at the
 * same three calls. Silence stands for the sound: a second, and twelve in the newest take. Oldest first; ids.
 */
export function takesOfAStage(
  takes: TakeStore,
  stage: string,
  plan: PlanDocument,
  q: { count: number; days: number; from: number; syllables: (words: string) => number },
): string[] {
  const random = seededRandom(11)
  return Array.from({ length: q.count }, (_, n) => {
    const share = n / Math.max(1, q.count - 1)
    const startedAt = q.from + Math.floor(share * (q.days - 1)) * DAY + (n % 3) * 1800
    const about = aboutTake(plan, { kind: 'read', from: -4, notes: 'page', device: 'made up', roundTrip: 0.05 })
    const id = takes.create(stage, { ...about, averageSpeed: about.averageSpeed * (0.92 + 0.1 * random()) }, startedAt)
    takes.writeSound(stage, id, 0, new Uint8Array(32_000 * (n === q.count - 1 ? 12 : 1)))
    let free = -4
    const calls = plan.calls.flatMap((call, i): HeardWire['calls'] => {
      if (random() < 0.03 * (1 - share)) return []
      const always = i % Math.ceil(plan.calls.length / 3) === 7 ? call.latest - call.preferred + 0.4 : 0
      const at = Math.max(free, call.preferred + always + (0.9 - 0.6 * share) * seededNormal(random))
      const seconds = (q.syllables(call.say) / 5.5) * (1 + 0.06 * seededNormal(random))
      free = at + seconds + 0.1
      return [{ index: call.index, from: at, to: at + seconds, kind: 'read', confidence: 0.1 + 0.2 * random() }]
    })
    takes.keepHeard(stage, id, {
      calls,
      overFloor: 32,
      until: plan.run.time + 2,
      // The newest take has one word that may have been another.
      listen: n === q.count - 1 ? [{ index: plan.calls[4]!.index, instead: 'other words', odds: 4.2 }] : [],
      rescued: [],
      warnings: [],
      speech: 100,
    } satisfies HeardWire)
    return id
  })
}
