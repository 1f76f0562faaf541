import { useCallback, useEffect, useRef, useState } from 'react'
import type { VoiceWordView } from '../../server/api/voiceRoutes.ts'
import { request } from '../connection/request.ts'
import { type Microphone, openMicrophone } from '../microphone/microphone.ts'
import { monoWav } from './monoWav.ts'

/** A word is listened for this long, seconds: long enough to say it after it shows. */
const LISTEN = 2.4
const IN_TURN = 12
/** A word that was not heard well is asked for again so often. */
const TRIES = 4

interface Needed {
  readonly words: readonly VoiceWordView[]
  readonly phrases: readonly VoiceWordView[]
}

/** Words the stage needs, most used first, how much of it is recorded, and a way to record them one after another. */
export function OwnVoice({ stageId }: { stageId: string }) {
  const [needed, setNeeded] = useState<Needed | null>(null)
  const [listening, setListening] = useState<string | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const stopped = useRef(false)

  const load = useCallback(
    () =>
      request<Needed>(`/stages/${stageId}/voice-words`).then(setNeeded, (error: Error) => setProblem(error.message)),
    [stageId],
  )
  useEffect(() => {
    void load()
    return () => {
      stopped.current = true
    }
  }, [load])

  async function record(words: readonly string[]): Promise<void> {
    stopped.current = false
    setProblem(null)
    const context = new AudioContext()
    let microphone: Microphone | null = null
    try {
      microphone = await openMicrophone(context, null)
      for (const word of words) {
        if (stopped.current) break
        setListening(word)
        for (let left = TRIES - 1; !(await heardBy(microphone, word, left > 0)) && !stopped.current; left--);
        await load()
      }
    } catch (error) {
      setProblem((error as Error).message)
    } finally {
      microphone?.close()
      void context.close()
      setListening(null)
    }
  }
  /** One try at a word; false when it is to be said again. Throws where the last try failed too. */
  async function heardBy(microphone: Microphone, word: string, again: boolean): Promise<boolean> {
    const { samples, rate } = await microphone.record(LISTEN)
    if (stopped.current) return false
    try {
      await request(`/voices/own/${encodeURIComponent(word)}`, {
        method: 'PUT',
        body: monoWav(samples, rate),
        headers: { 'content-type': 'audio/wav' },
      })
      setProblem(null)
      return true
    } catch (error) {
      if (!again) throw error
      setProblem((error as Error).message)
      return false
    }
  }
  const forget = async (word: string) => {
    await request(`/voices/own/${encodeURIComponent(word)}`, { method: 'DELETE' }).catch((error: Error) =>
      setProblem(error.message),
    )
    await load()
  }
  if (!needed) return <p aria-busy="true">{problem ?? 'Counting the words …'}</p>
  const covered = needed.words.reduce((sum, one) => sum + (one.recorded ? one.adds : 0), 0)
  const missing = needed.words.filter((one) => !one.recorded)
  const next = missing.slice(0, IN_TURN)
  const gain = next.reduce((sum, one) => sum + one.adds, 0)
  const percent = (share: number) => `${Math.round(share * 100)} %`
  return (
    <div className="stack">
      <p>
        {needed.words.length - missing.length} of {needed.words.length} words recorded: {percent(covered)} of what this
        stage says. Recordings stay on this machine; your own voice keeps the pace it was recorded at.
      </p>
      <div className="row">
        {next.length > 0 && (
          <button type="button" disabled={listening !== null} onClick={() => record(next.map((one) => one.words))}>
            Record the next {next.length} words, {percent(gain)} more
          </button>
        )}
        {listening !== null && (
          <button
            type="button"
            onClick={() => {
              stopped.current = true
            }}
          >
            stop
          </button>
        )}
      </div>
      {listening !== null && (
        <p className="listening" role="status">
          Say: <strong>{listening}</strong>
        </p>
      )}
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      <WordList title="Words" rows={needed.words} busy={listening !== null} record={record} forget={forget} />
      <WordList
        title="Short phrases, which sound smoother in one piece"
        rows={needed.phrases}
        busy={listening !== null}
        record={record}
        forget={forget}
      />
    </div>
  )
}

function WordList(q: {
  title: string
  rows: readonly VoiceWordView[]
  busy: boolean
  record: (words: readonly string[]) => Promise<void>
  forget: (words: string) => Promise<void>
}) {
  return (
    <details>
      <summary>
        {q.title}: {q.rows.length}
      </summary>
      <ol className="words">
        {q.rows.map((one) => (
          <li key={one.words} className="row">
            <span>
              {one.words}{' '}
              <span className="soft small">
                {one.uses} times, {(one.adds * 100).toFixed(1)} %
              </span>
            </span>
            <button type="button" className="quiet small" disabled={q.busy} onClick={() => q.record([one.words])}>
              {one.recorded ? 'again' : 'record'}
              <span className="hidden"> {one.words}</span>
            </button>
            {one.recorded && (
              <button type="button" className="quiet small" disabled={q.busy} onClick={() => q.forget(one.words)}>
                erase<span className="hidden"> {one.words}</span>
              </button>
            )}
          </li>
        ))}
      </ol>
    </details>
  )
}
