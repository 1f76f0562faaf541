import { fetchTemplates } from '../../microphone/clipTemplates.ts'
import { type Script, scriptOf } from '../../microphone/templates.ts'
import { fromInt16 } from '../../microphone/wav.ts'
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
  const { made } = await fetchTemplates(clips)
  return scriptOf(
    made,
    made.map(() => 0),
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
  const sound = fromInt16(data.samples)
  // A judge without a script says that it cannot tell.
  const margin = await ready.then(
    (script) => recallMargin({ sound, from, to, due }, script, meanings),
    () => 0,
  )
  page.postMessage({ due, margin })
}
