import { useCallback, useEffect, useState } from 'react'
import type { VoicesView } from '../../server/api/voiceRoutes.ts'
import type { StageDetail } from '../../server/api/wire.ts'
import { request, send } from '../connection/request.ts'
import { hear } from './hear.ts'
import { OwnVoice } from './OwnVoice.tsx'
import { SayAsList } from './SayAsList.tsx'
import './takealong.css'

const SAMPLE = 'caution, 3 right tightens, into hairpin left, 130'

/** Voices: hear and choose who reads this stage, how fast and how high, and how single words are said. */
export default function VoicesPage({ stageId }: { stageId: string }) {
  const [stage, setStage] = useState<StageDetail | null>(null)
  const [voices, setVoices] = useState<VoicesView | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [says, setSays] = useState('')

  const load = useCallback(() => {
    Promise.all([request<StageDetail>(`/stages/${stageId}`), request<VoicesView>('/voices')]).then(
      ([detail, view]) => {
        setStage(detail)
        setVoices(view)
      },
      (error: Error) => setProblem(error.message),
    )
  }, [stageId])
  useEffect(load, [load])

  const change = async (settings: Record<string, unknown>) => {
    setProblem(null)
    try {
      setStage(await request<StageDetail>(`/stages/${stageId}`, send('PATCH', { settings })))
    } catch (error) {
      setProblem((error as Error).message)
    }
  }
  const listen = async (voice: string) => {
    if (!stage) return
    setProblem(null)
    const { rate, pitch, sayAs } = stage.settings
    try {
      const heard = await hear({ text: SAMPLE, voice, rate, pitch, sayAs })
      setSays(
        `“${heard.said}”, ${heard.seconds.toFixed(1)} s${heard.timing === 'estimated' ? ', word ends estimated' : ''}`,
      )
    } catch (error) {
      setProblem((error as Error).message)
    }
  }
  if (!stage || !voices) {
    return (
      <main aria-busy={problem === null}>
        {problem ? (
          <p className="problem" role="alert">
            {problem}
          </p>
        ) : (
          'Asking for the voices …'
        )}
      </main>
    )
  }
  const { settings } = stage
  const own = settings.voice.startsWith('own:')
  const standIn = own ? settings.voice.slice(4) : settings.voice.startsWith('external:') ? 'en' : settings.voice
  return (
    <main className="stack takealong">
      <h1>Who reads {stage.title}</h1>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      <section className="stack" aria-labelledby="embedded">
        <h2 id="embedded">Built-in voices</h2>
        <div className="row">
          <label>
            Accent{' '}
            <select
              value={standIn}
              onChange={(event) => change({ voice: own ? `own:${event.target.value}` : event.target.value })}
            >
              {!voices.embedded.some((one) => one.id === standIn) && <option value={standIn}>{standIn}</option>}
              {voices.embedded.map((one) => (
                <option key={one.id} value={one.id}>
                  {one.name}
                </option>
              ))}
            </select>
          </label>
          <label>
            Pace{' '}
            <input
              type="range"
              min={120}
              max={320}
              step={5}
              value={settings.rate}
              onChange={(event) => change({ rate: Number(event.target.value) })}
            />{' '}
            {settings.rate} words a minute
          </label>
          <label>
            Pitch{' '}
            <input
              type="range"
              min={0}
              max={100}
              step={5}
              value={settings.pitch}
              onChange={(event) => change({ pitch: Number(event.target.value) })}
            />{' '}
            {settings.pitch}
          </label>
          <label>
            Pause between calls{' '}
            <select
              value={settings.pause ?? ''}
              onChange={(event) => change({ pause: event.target.value === '' ? null : Number(event.target.value) })}
            >
              <option value="">usual</option>
              {[0.1, 0.2, 0.3, 0.5, 0.8].map((seconds) => (
                <option key={seconds} value={seconds}>
                  {seconds} s
                </option>
              ))}
            </select>
          </label>
        </div>
        <div className="row">
          <button type="button" onClick={() => listen(settings.voice)}>
            Hear it
          </button>
          <span role="status" className="soft">
            {says}
          </span>
        </div>
      </section>
      <section className="stack rule" aria-labelledby="own">
        <h2 id="own">Your own voice</h2>
        <label>
          <input
            type="checkbox"
            checked={own}
            onChange={(event) => change({ voice: event.target.checked ? `own:${standIn}` : standIn })}
          />{' '}
          read this stage with my recorded words; the built-in voice says what is missing
        </label>
        <OwnVoice stageId={stageId} />
      </section>
      <SayAsList stage={stage} save={(sayAs) => change({ sayAs })} />
      <section className="stack rule" aria-labelledby="others">
        <h2 id="others">Other voices</h2>
        {voices.externalProblem && <p className="over">{voices.externalProblem}</p>}
        {voices.external.map((one) => (
          <div className="row" key={one.id}>
            <span>{one.name}</span>
            <button type="button" onClick={() => listen(one.id)}>
              Hear {one.name}
            </button>
            <button type="button" aria-pressed={settings.voice === one.id} onClick={() => change({ voice: one.id })}>
              Read this stage with it
            </button>
          </div>
        ))}
        <p className="soft">
          A speech program of your own, a neural voice on this machine for example, is named in a file of the library;
          docs/voices.md shows how. {voices.system}
        </p>
        <button
          type="button"
          onClick={() =>
            request('/voices/system/hear', send('POST', { text: SAMPLE, rate: settings.rate })).catch((error: Error) =>
              setProblem(error.message),
            )
          }
        >
          Hear the system’s voice
        </button>
      </section>
    </main>
  )
}
