import type { PlanDocument, PlanRequest, RoadTable, StageDetail } from '../../../server/api/wire.ts'
import type { NewTake, TakeDetail } from '../../../server/api/wireTakes.ts'
import { prepareSpeech } from '../../connection/live.ts'
import { request } from '../../connection/request.ts'
import { ownTakes } from './ownTakes.ts'

export interface Ride {
  readonly stage: StageDetail
  readonly road: RoadTable
  readonly plan: PlanDocument
  /** Clip of each call of the plan, parallel; also where lengths are the crew's own pace. */
  readonly clips: readonly (string | null)[]
  /** Earlier takes whose voice may stand in for the machine's. */
  readonly earlier: readonly TakeDetail[]
}

const ROAD_STEP = 2

/** Everything a ride needs. With the crew's own pace the plan has no clips; they are the voice's for the same words. */
export async function loadRide(
  stageId: string,
  asked: PlanRequest,
  onProgress: (done: number, total: number) => void,
): Promise<Ride> {
  const [stage, road] = await Promise.all([
    request<StageDetail>(`/stages/${stageId}`),
    request<RoadTable>(`/stages/${stageId}/road?step=${ROAD_STEP}`),
  ])
  const plan = await prepareSpeech(stageId, asked, onProgress)
  let clips = plan.calls.map((call) => call.clip)
  if (plan.speech === 'pace') {
    const wording = plan.run.wording
    const voiced = await prepareSpeech(stageId, { ...asked, pace: null, wording }, onProgress)
    const bySay = new Map(voiced.calls.map((call) => [call.say, call.clip]))
    clips = plan.calls.map((call) => bySay.get(call.say) ?? null)
  }
  return { stage, road, plan, clips, earlier: await ownTakes(stageId) }
}

/** What a take is read against: the plan as it is now. */
export function aboutTake(
  plan: PlanDocument,
  q: Pick<NewTake, 'kind' | 'from' | 'notes' | 'device' | 'roundTrip'>,
): NewTake {
  return {
    ...q,
    averageSpeed: plan.run.averageSpeed,
    wording: plan.run.wording,
    sampleRate: 16_000,
    calls: plan.calls.map((call) => {
      const deadlines = call.elements.flatMap((one) =>
        one.deadline === null || one.spokenAt === null ? [] : [one.deadline],
      )
      return {
        index: call.index,
        say: call.say,
        station: call.station,
        start: call.start,
        end: call.end,
        earliest: call.earliest,
        latest: call.latest,
        preferred: call.preferred,
        actBy: call.actBy,
        deadline: deadlines.length > 0 ? Math.max(...deadlines) : null,
      }
    }),
  }
}
