import type { Wording } from '../notes/notes.ts'
import type { SpeechRequest, SpokenClip } from '../speech/speechEngine.ts'
import { chooseWordings } from './chooseWordings.ts'
import { planRun, solveRun } from './planRun.ts'
import { type CallWords, callWords, saidEstimated, saidPaced, saidWith, speechRequest } from './sayCalls.ts'
import type { PreparedStage, Rehearsal, RunSettings, SaidCall } from './stage.ts'

/** Where clips come from: measured once, kept by content, the same clip that is played. */
export interface ClipSource {
  speakAll(
    requests: readonly SpeechRequest[],
    options?: { onProgress?: (done: number, total: number) => void; signal?: AbortSignal },
  ): Promise<readonly { readonly hash: string; readonly clip: SpokenClip }[]>
}

export const WORDINGS: readonly Wording[] = ['verbose', 'standard', 'terse']

/** Every call in a wording with its measured length, or its length at the crew's own pace where one is set. Calls with no words get length 0 and no clip. */
export async function sayAll(
  stage: PreparedStage,
  wording: Wording,
  run: RunSettings,
  clips: ClipSource,
  onProgress?: (done: number, total: number) => void,
): Promise<SaidCall[]> {
  const words = callWords(stage.notes, wording, run.pins, run.leftOut, run.sayAs)
  if (run.pace) return words.map((call) => (call.words.length > 0 ? saidPaced(call, run.pace!) : silent(call)))
  const spoken = words.filter((call) => call.words.length > 0)
  const made = await clips.speakAll(
    spoken.map((call) => speechRequest(call, run)),
    onProgress ? { onProgress } : {},
  )
  const byCall = new Map(spoken.map((call, i) => [call.call, made[i]!]))
  return words.map((call) => {
    const clip = byCall.get(call.call)
    return clip ? saidWith(call, clip.clip, clip.hash) : silent(call)
  })
}

/** The same with estimated lengths: at once, for a first plan while clips are made. */
export function estimateAll(stage: PreparedStage, wording: Wording, run: RunSettings): SaidCall[] {
  return callWords(stage.notes, wording, run.pins, run.leftOut, run.sayAs).map((call) => {
    if (call.words.length === 0) return silent(call)
    return run.pace ? saidPaced(call, run.pace) : saidEstimated(call, run.rate)
  })
}

const silent = (call: CallWords): SaidCall => ({
  call: call.call,
  wording: call.wording,
  say: '',
  words: 0,
  dropped: call.dropped,
  duration: 0,
  elementEnds: call.wordsThrough.map(() => null),
  clip: null,
})

type Say = (wording: Wording, onProgress?: (done: number, total: number) => void) => Promise<readonly SaidCall[]>

/** A run planned on the voice that will be heard. `say` may hand out calls measured before. */
export async function voiceRun(
  stage: PreparedStage,
  run: RunSettings,
  clips: ClipSource,
  onProgress?: (done: number, total: number) => void,
  say: Say = (wording, progress) => sayAll(stage, wording, run, clips, progress),
): Promise<Rehearsal> {
  const profile = solveRun(stage, run)
  if (run.wording !== 'automatic') {
    return planRun({
      stage,
      run,
      said: await say(run.wording, onProgress),
      profile,
      speech: run.pace ? 'pace' : 'voice',
    })
  }
  const options: (readonly SaidCall[])[] = []
  for (const [i, wording] of WORDINGS.entries()) {
    options.push(await say(wording, (done, total) => onProgress?.(i * total + done, WORDINGS.length * total)))
  }
  return planRun({
    stage,
    run,
    said: chooseWordings({ stage, run, profile, options }),
    profile,
    speech: run.pace ? 'pace' : 'voice',
  })
}

/** A run planned on estimated lengths. */
export function estimateRun(stage: PreparedStage, run: RunSettings): Rehearsal {
  const profile = solveRun(stage, run)
  const said =
    run.wording === 'automatic'
      ? chooseWordings({ stage, run, profile, options: WORDINGS.map((wording) => estimateAll(stage, wording, run)) })
      : estimateAll(stage, run.wording, run)
  return planRun({ stage, run, said, profile, speech: run.pace ? 'pace' : 'estimated' })
}
