import type { TakeDetail, TakesView } from '../../../server/api/wireTakes.ts'
import { request } from '../../connection/request.ts'
import type { HeardCall } from '../../microphone/hearTake.ts'

/** The reader's own voice takes the place of the machine's after so many takes, from the newest few read in a quiet room. */
const AFTER = 3
const USED = 2
const QUIET = 20
const LONGEST_SECONDS = 1800

/** Earlier takes whose sound may serve as templates; none before there are a few, and none when they cannot be had. */
export async function ownTakes(stageId: string): Promise<TakeDetail[]> {
  try {
    const { takes } = await request<TakesView>(`/stages/${stageId}/takes`)
    const good = takes.filter(
      (take) =>
        take.kind === 'read' &&
        take.score?.doubt === null &&
        take.warnings.length === 0 &&
        take.seconds < LONGEST_SECONDS,
    )
    if (good.length < AFTER) return []
    const details = await Promise.all(
      good.slice(-USED).map((take) => request<TakeDetail>(`/stages/${stageId}/takes/${take.id}`)),
    )
    return details.filter((take) => take.heard !== null && take.heard.overFloor >= QUIET)
  } catch {
    return []
  }
}

/** What was heard in a take, by position among `calls`, on the take's own clock: a call is the same while its words are. */
export function ownReadings(
  take: TakeDetail,
  calls: readonly { readonly say: string; readonly index: number }[],
): HeardCall[] {
  const said = new Map(take.about.calls.map((call) => [call.index, call.say]))
  const rescued = new Set(take.heard?.rescued)
  return (take.heard?.calls ?? []).flatMap((one) => {
    if (rescued.has(one.index)) return []
    const same = calls.findIndex((call) => call.index === one.index && call.say === said.get(one.index))
    if (same < 0) return []
    const { kind, confidence } = one
    return [{ call: same, from: one.from - take.about.from, to: one.to - take.about.from, kind, confidence }]
  })
}
