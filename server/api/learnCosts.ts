import type { RideCosts } from '../drill/drill.ts'
import { chooseMoments } from '../drill/moments.ts'
import { rideCosts } from '../drill/rideCosts.ts'
import type { PreparedStage } from '../rehearsal/stage.ts'
import type { PlanDocument } from './wire.ts'

/** Costs by call of the notes; a call with no words takes no time worth counting. */
export function costsOf(plan: PlanDocument, calls: number): RideCosts {
  const costs = rideCosts(plan.calls, plan.run.time)
  const full = new Array<number>(calls).fill(0.1)
  const condensed = new Array<number>(calls).fill(0.1)
  plan.calls.forEach((call, i) => {
    full[call.index] = costs.full[i]!
    condensed[call.index] = costs.condensed[i]!
  })
  return { full, condensed }
}

/** The moments of a stage that matter most: by speed lost, danger words and doubtful placement. */
export function momentsOf({ notes, placement }: PreparedStage, plan: PlanDocument): number[] {
  const { station, speed } = plan.profile!
  let node = 0
  return chooseMoments(
    notes.calls.map((call, i) => {
      const until = placement.calls[i]!.to
      let [fastest, slowest] = [speed[node] ?? 0, speed[node] ?? 0]
      for (; node < station.length && station[node]! <= until; node++) {
        fastest = Math.max(fastest, speed[node]!)
        slowest = Math.min(slowest, speed[node]!)
      }
      const danger = Math.max(0, ...call.elements.map((one) => (one.meaning.is === 'warning' ? one.meaning.degree : 0)))
      return { speedLost: fastest - slowest, danger, doubtful: placement.calls[i]!.confidence < 0.5 }
    }),
  )
}
