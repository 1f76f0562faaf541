import { HEARING_RATE } from './melFrames.ts'
import { resample } from './resample.ts'
import { type Template, templateOf } from './templates.ts'
import { fromInt16, readWav } from './wav.ts'

/** Requests at once while clips are fetched. */
const AT_ONCE = 6

/** Templates of clips that the server's voice made, in their order; half a second of silence stands in for one that cannot be had, and `missing` counts those. */
export async function fetchTemplates(clips: readonly string[]): Promise<{ made: Template[]; missing: number }> {
  const made: Template[] = []
  let missing = 0
  let next = 0
  const work = async () => {
    for (let i = next++; i < clips.length; i = next++) {
      const [sound, words] = await Promise.all([fetch(`/api/clips/${clips[i]}`), fetch(`/api/clips/${clips[i]}/words`)])
      if (!sound.ok) {
        missing++
        made[i] = templateOf(i, new Float32Array(HEARING_RATE / 2), [0.5])
        continue
      }
      const { samples, rate } = readWav(await sound.arrayBuffer())
      const { wordEnds } = words.ok ? ((await words.json()) as { wordEnds: number[] }) : { wordEnds: [] }
      made[i] = templateOf(i, resample(fromInt16(samples), rate, HEARING_RATE), wordEnds)
    }
  }
  await Promise.all(Array.from({ length: AT_ONCE }, work))
  return { made, missing }
}
