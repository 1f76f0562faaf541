import { HEARING_RATE } from '../../microphone/melFrames.ts'
import { resample } from '../../microphone/resample.ts'
import { type Script, scriptOf, templateOf } from '../../microphone/templates.ts'
import { recallMargin } from './recallJudge.ts'

/** Orders to the judge of what was recalled, and what it answers; positions are those of the clips it was given. */
export type RecallOrder =
  | { readonly type: 'script'; readonly clips: readonly string[]; readonly meanings: readonly string[] }
  | {
      readonly type: 'judge'
      readonly due: number
      readonly samples: Int16Array
      readonly from: number
      readonly to: number
    }
export interface RecallNews {
  readonly due: number
  readonly margin: number
}

const page = self as unknown as { postMessage(news: RecallNews): void; onmessage: unknown }
let ready: Promise<Script> = Promise.reject(new Error('no script yet'))
ready.catch(() => {})
let meanings: readonly string[] = []

async function fetchScript(clips: readonly string[]): Promise<Script> {
  const templates = []
  for (const [i, clip] of clips.entries()) {
    const response = await fetch(`/api/clips/${clip}`)
    const bytes = response.ok ? await response.arrayBuffer() : null
    // The clips are our own: 44 bytes of head, mono, 16 bit.
    const sound = bytes
      ? resample(
          Float32Array.from(new Int16Array(bytes.slice(44)), (v) => v / 32768),
          new DataView(bytes).getUint32(24, true),
          HEARING_RATE,
        )
      : new Float32Array(HEARING_RATE / 2)
    templates.push(templateOf(i, sound, []))
  }
  return scriptOf(
    templates,
    templates.map(() => 0),
  )
}

page.onmessage = async ({ data }: MessageEvent<RecallOrder>) => {
  if (data.type === 'script') {
    meanings = data.meanings
    ready = fetchScript(data.clips)
    ready.catch(() => {})
    return
  }
  const { due, from, to } = data
  const sound = Float32Array.from(data.samples, (v) => v / 32768)
  // A judge without a script says that it cannot tell.
  const margin = await ready.then(
    (script) => recallMargin({ sound, from, to, due }, script, meanings),
    () => 0,
  )
  page.postMessage({ due, margin })
}
