import type { HeardWire, TakeDetail } from '../../../server/api/wireTakes.ts'
import { request, send } from '../../connection/request.ts'
import type { HearingNews, HearingOrder } from '../../microphone/hearing.worker.ts'
import { readWav } from '../../microphone/wav.ts'
import { heardWire } from './heardWire.ts'
import { loadRide } from './ride.ts'

/** Listens to a take that was cut off before it could be heard: its sound from the stage folder, its plan as it was. */
export async function hearAgain(stageId: string, take: TakeDetail): Promise<TakeDetail> {
  const { about } = take
  const path = `/stages/${stageId}/takes/${take.id}`
  const sound = await fetch(`/api${path}/sound`)
  if (!sound.ok) throw new Error('This take has no sound: it was cut off before a second was recorded. Delete it.')
  const { samples } = readWav(await sound.arrayBuffer())
  const { plan, clips } = await loadRide(stageId, { target: { kind: 'average', speed: about.averageSpeed } }, () => {})
  const bySay = new Map(plan.calls.map((call, i) => [call.say, clips[i]]))
  const calls = about.calls.filter((call) => bySay.get(call.say))
  if (calls.length === 0)
    throw new Error('The notes have changed so much that no call of this take can be told. Its sound is kept.')
  const worker = new Worker(new URL('../../microphone/hearing.worker.ts', import.meta.url), { type: 'module' })
  try {
    const heard = await new Promise<Extract<HearingNews, { type: 'heard' }>['heard']>((resolve, reject) => {
      worker.onerror = () => reject(new Error('The listener could not be started; reload the page.'))
      worker.onmessage = ({ data }: MessageEvent<HearingNews>) => {
        if (data.type === 'ready') {
          const planned = calls.map((call) => call.start - about.from)
          worker.postMessage({ type: 'again', planned, samples } satisfies HearingOrder)
        } else if (data.type === 'heard') resolve(data.heard)
        else if (data.type === 'problem') reject(new Error(data.message))
      }
      const says = calls.map((call) => call.say)
      worker.postMessage({ type: 'script', clips: says.map((say) => bySay.get(say)!), says } satisfies HearingOrder)
    })
    const wire: HeardWire = {
      ...heardWire(heard, about.from, (position) => calls[position]!.index),
      rescued: [],
      warnings: ['This take was cut off; what was recorded until then is kept.'],
      speech: heard.calls.reduce((sum, one) => sum + one.to - one.from, 0),
    }
    return await request<TakeDetail>(`${path}/heard`, send('PUT', wire))
  } finally {
    worker.terminate()
  }
}
