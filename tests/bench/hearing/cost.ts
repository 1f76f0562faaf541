import { BLOCK, Detector } from '../../../client/microphone/detector.ts'
import { hearFrames, LiveHearing } from '../../../client/microphone/hearTake.ts'
import { MelFrames, melFramesOf } from '../../../client/microphone/melFrames.ts'
import { Resampler, resample } from '../../../client/microphone/resample.ts'
import type { Script } from '../../../client/microphone/templates.ts'
import { RATE } from '../../reading/syntheticTake.ts'

const CARD = 48_000

/** Processor time of each part of listening as a share of the sound's own length: processor time, so that what else runs counts little. */
export function cost(sound: Float32Array, script: Script): void {
  const seconds = sound.length / RATE
  const share = (work: () => void) => {
    const before = process.cpuUsage()
    work()
    const { user, system } = process.cpuUsage(before)
    return (user + system) / 1e6 / seconds
  }
  const loud = resample(sound, RATE, CARD)
  const parts = {
    detector: share(() => {
      const detector = new Detector(CARD)
      for (let at = 0; at + BLOCK <= loud.length; at += BLOCK) detector.push(loud.subarray(at, at + BLOCK))
    }),
    'to 16 kHz': share(() => {
      const resampler = new Resampler(CARD, RATE)
      for (let at = 0; at + BLOCK <= loud.length; at += BLOCK) resampler.push(loud.subarray(at, at + BLOCK))
    }),
    'features, alignment and verdicts, live': share(() => {
      const hearing = new LiveHearing(script, script.level, () => {})
      for (let at = 0; at < sound.length; at += 320) hearing.push(sound.subarray(at, at + 320))
    }),
    'features kept for the final pass': share(() => new MelFrames().push(sound, () => {})),
  }
  const all = Object.values(parts).reduce((sum, one) => sum + one, 0)
  const frames = melFramesOf(sound)
  const final = share(() => hearFrames(frames, script))
  console.log(
    `cost, per cent of real time: ${Object.entries(parts)
      .map(([name, one]) => `${name} ${(100 * one).toFixed(2)}`)
      .join(', ')}; together ${(100 * all).toFixed(2)}; the final pass once ${(100 * final).toFixed(2)}`,
  )
}
