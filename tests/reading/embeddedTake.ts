import { HEARING_RATE } from '../../client/microphone/melFrames.ts'
import { resample } from '../../client/microphone/resample.ts'
import type { SpeechEngine } from '../../server/speech/speechEngine.ts'
import type { PlanOfCall } from './syntheticTake.ts'

/** A take at 16 kHz, quiet but for the words: each call at its planned start by another voice of the embedded engine. Needs no other program. */
export async function embeddedTake(calls: readonly PlanOfCall[], seconds: number, engine: SpeechEngine) {
  const sound = new Float32Array(Math.ceil(seconds * HEARING_RATE))
  for (const { words, start } of calls) {
    const said = await engine.speak({ words, voice: 'gmw/en-US', rate: 205, pitch: 60 })
    const samples = Float32Array.from(said.samples, (v) => v / 32768)
    sound.set(resample(samples, said.sampleRate, HEARING_RATE), Math.round(start * HEARING_RATE))
  }
  return sound
}
