import { cabinNoise } from '../../../client/microphone/cabin.ts'
import { hearTake, type LiveCall, LiveHearing } from '../../../client/microphone/hearTake.ts'
import type { Script } from '../../../client/microphone/templates.ts'
import type { Reader } from '../../reading/readers.ts'
import { inCabin, type PlanOfCall, RATE, syntheticTake, USUAL } from '../../reading/syntheticTake.ts'
import { seededRandom } from '../../seededRandom.ts'

const SEEDS = Number(process.env.NOISE_SEEDS || 20)
/** Of these the live version hears so many too. */
const LIVE_SEEDS = Math.min(8, SEEDS)
/** The reader says nothing in three stretches of so many seconds. */
const SILENT_SECONDS = 20

interface Found {
  readonly from: number
  readonly to: number
  readonly confidence: number
}

/** Cabin noise with nobody speaking: takes of nothing else, and takes whose reader falls silent three times. Calls matched there, and calls heard there. */
export function noiseAlone(
  plan: readonly PlanOfCall[],
  script: Script,
  readers: readonly Reader[],
  seed: number,
): void {
  const heard = (calls: readonly Found[]) => calls.filter((call) => call.confidence >= 0).length
  const most = (calls: readonly Found[]) => calls.reduce((top, call) => Math.max(top, call.confidence), -9)
  const live = (sound: Float32Array) => {
    const told: LiveCall[] = []
    const hearing = new LiveHearing(script, script.level, (call) => told.push(call))
    for (let at = 0; at < sound.length; at += 320) hearing.push(sound.subarray(at, at + 320))
    return told
  }
  const whole: Found[] = []
  const wholeLive: Found[] = []
  for (let k = 0; k < SEEDS; k++) {
    const noise = cabinNoise(240, RATE, seededRandom(7700 + k))
    whole.push(...hearTake(noise, script).calls.filter((call) => call.kind !== 'broken off'))
    if (k < LIVE_SEEDS) wholeLive.push(...live(noise))
  }
  console.log(
    `cabin noise alone, ${SEEDS} takes of 240 s (seeds 7700–): ${whole.length} matched, ${heard(whole)} heard, greatest confidence ${most(whole).toFixed(3)}; live, ${LIVE_SEEDS} takes: ${heard(wholeLive)} told`,
  )
  const end = plan.at(-1)!.start
  for (const snr of [10, 5, 0]) {
    const found: Found[] = []
    const told: Found[] = []
    for (let k = 0; k < SEEDS; k++) {
      const random = seededRandom(90_000 + k)
      const silent = [0.15, 0.45, 0.75].map((share) => {
        const from = (share + 0.1 * random()) * end
        return { from, to: from + SILENT_SECONDS }
      })
      const take = syntheticTake(plan, readers[k % readers.length]!, seededRandom(seed * 1000 + k), {
        ...USUAL,
        silent,
      })
      const sound = inCabin(take, snr, seededRandom(8000 + k))
      const said = [...take.spoken, ...take.noises]
      const alone = (call: Found) =>
        !said.some((one) => Math.min(one.to, call.to) - Math.max(one.from, call.from) > 0.05)
      found.push(...hearTake(sound, script).calls.filter((call) => call.kind !== 'broken off' && alone(call)))
      if (k < LIVE_SEEDS) told.push(...live(sound).filter(alone))
    }
    console.log(
      `${snr} dB, reader silent three times ${SILENT_SECONDS} s, ${SEEDS} takes (noise seeds 8000–): where nobody spoke ${found.length} matched, ${heard(found)} heard, greatest confidence ${most(found).toFixed(3)}; live, ${LIVE_SEEDS} takes: ${heard(told)} told`,
    )
  }
}
