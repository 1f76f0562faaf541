import { useEffect, useRef, useState } from 'react'
import type { SoundState } from '../../server/api/soundDesk.ts'
import { request, send } from '../connection/request.ts'
import { clockInWords } from '../look/words.ts'

const ASK_EVERY_MS = 400

/** The run as a sound file: what is on it, how far it is, and a way to stop. */
export function SoundPart({ stageId }: { stageId: string }) {
  const [format, setFormat] = useState('mp3')
  const [timing, setTiming] = useState('stage')
  const [countIn, setCountIn] = useState(true)
  const [ticks, setTicks] = useState('')
  const [noise, setNoise] = useState(false)
  const [job, setJob] = useState<SoundState | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const asking = useRef<ReturnType<typeof setTimeout>>(undefined)
  useEffect(() => () => clearTimeout(asking.current), [])

  const watch = (state: SoundState) => {
    setJob(state)
    if (state.state === 'failed') setProblem(state.says)
    if (state.state !== 'working') return
    asking.current = setTimeout(() => {
      request<SoundState>(`/sounds/${state.id}`).then(watch, (error: Error) => setProblem(error.message))
    }, ASK_EVERY_MS)
  }
  const make = () => {
    setProblem(null)
    const staged = timing === 'stage'
    const body = {
      format,
      countIn,
      continuous: !staged,
      ticks: staged && ticks !== '' ? Number(ticks) : null,
      noise: staged && noise ? 18 : null,
    }
    request<SoundState>(`/stages/${stageId}/sounds`, send('POST', body)).then(watch, (error: Error) =>
      setProblem(error.message),
    )
  }
  const stop = () => {
    clearTimeout(asking.current)
    if (job) request(`/sounds/${job.id}`, { method: 'DELETE' }).catch(() => {})
    setJob(null)
  }
  const working = job?.state === 'working'
  return (
    <section className="stack rule" aria-labelledby="sound">
      <h2 id="sound">Sound</h2>
      <p className="soft">The whole stage read at its moments, or call after call; a chapter a kilometre or mile.</p>
      <div className="row">
        <label>
          File{' '}
          <select value={format} onChange={(event) => setFormat(event.target.value)}>
            <option value="mp3">MP3</option>
            <option value="ogg">Ogg</option>
            <option value="wav">WAV</option>
          </select>
        </label>
        <label>
          Timing{' '}
          <select value={timing} onChange={(event) => setTiming(event.target.value)}>
            <option value="stage">as on the stage</option>
            <option value="continuous">call after call</option>
          </select>
        </label>
        <label>
          Ticks{' '}
          <select value={ticks} disabled={timing !== 'stage'} onChange={(event) => setTicks(event.target.value)}>
            <option value="">none</option>
            <option value="100">every 100 m</option>
            <option value="200">every 200 m</option>
            <option value="1000">every kilometre</option>
          </select>
        </label>
        <label>
          <input type="checkbox" checked={countIn} onChange={(event) => setCountIn(event.target.checked)} /> spoken
          count
        </label>
        <label>
          <input
            type="checkbox"
            checked={noise}
            disabled={timing !== 'stage'}
            onChange={(event) => setNoise(event.target.checked)}
          />{' '}
          cabin noise
        </label>
      </div>
      <div className="row">
        <button type="button" onClick={make} disabled={working}>
          Make the sound file
        </button>
        {working && (
          <>
            <span role="status">
              {job.doing} {Math.round(job.share * 100)} %
            </span>
            <button type="button" onClick={stop}>
              stop
            </button>
          </>
        )}
        {job?.state === 'ready' && (
          <a className="button" href={`/api/sounds/${job.id}/file`} download>
            Download, {clockInWords(job.seconds ?? 0)}
          </a>
        )}
      </div>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
    </section>
  )
}
