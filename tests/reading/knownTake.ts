import { resample } from '../../client/microphone/resample.ts'
import type { PlanDocument } from '../../server/api/wire.ts'
import { openEmbeddedEngine } from '../../server/speech/embeddedEngine.ts'
import { hasProgram, READERS, readWords } from './readers.ts'

/** What was planted in a take: seconds from preferred per call, null for a call left out. */
export type Planted = readonly (number | null)[]

/**
 * Sound of a take of a plan with starts known to the sample: 48 kHz, sample 0 at stage time `from`. Another synthesiser reads it where there is one (flite, then
 * espeak-ng's other voices); else another voice of the embedded engine.
 */
export async function knownTake(
  plan: PlanDocument,
  planted: Planted,
  from: number,
  until: number,
): Promise<Int16Array> {
  const reader =
    READERS.find((one) => one.name === 'F2' && hasProgram(one.program)) ??
    READERS.find((one) => one.name === 'E2' && hasProgram(one.program))
  const engine = reader ? null : openEmbeddedEngine()
  const sound = new Int16Array(Math.ceil((until - from) * 48_000))
  let seed = 1
  for (let i = 0; i < sound.length; i++) {
    // A quiet room, not digital silence.
    seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0
    sound[i] = (seed >>> 27) - 16
  }
  for (const [i, off] of planted.entries()) {
    const call = plan.calls[i]!
    if (off === null) continue
    let clip: Float32Array
    if (reader) clip = readWords(reader, call.say, 1.15)
    else {
      const said = await engine!.speak({ words: call.say.split(' '), voice: 'gmw/en-US', rate: 210, pitch: 60 })
      clip = resample(
        Float32Array.from(said.samples, (v) => v / 32768),
        said.sampleRate,
        16_000,
      )
    }
    const loud = resample(clip, 16_000, 48_000)
    let peak = 1e-9
    for (const v of loud) peak = Math.max(peak, Math.abs(v))
    const at = Math.round((call.preferred + off - from) * 48_000)
    for (let k = 0; k < loud.length && at + k < sound.length; k++)
      if (at + k >= 0) sound[at + k] = Math.max(-32768, Math.min(32767, sound[at + k]! + (14_000 * loud[k]!) / peak))
  }
  await engine?.close()
  return sound
}
