import { useState } from 'react'
import type { AnswerSent, LearnCall } from '../../server/api/learnWire.ts'
import type { Problem } from '../../server/api/wire.ts'
import { request, send } from '../connection/request.ts'

const MINUTES = [10, 15, 30, 60]
const KEPT_KEY = 'say-when.walk.'

/** A walk that was taken along: when it was made, which calls are on it and how long it lasts for each. */
interface Walk {
  readonly id: string
  readonly calls: readonly number[]
  readonly secondsEach: number
}

/** The audio-only session: made, saved as a file, and marked once it was walked. */
export function WalkPart({
  stageId,
  zone,
  calls,
  changed,
}: {
  stageId: string
  zone: string
  calls: readonly LearnCall[]
  changed: () => void
}) {
  const [minutes, setMinutes] = useState(15)
  const [format, setFormat] = useState('mp3')
  const [walk, setWalk] = useState<Walk | null>(() => readWalk(stageId))
  const [missed, setMissed] = useState<ReadonlySet<number>>(new Set())
  const [said, setSaid] = useState<string | null>(null)
  const [busy, setBusy] = useState(false)

  const keep = (one: Walk | null) => {
    setWalk(one)
    setMissed(new Set())
    if (one) localStorage.setItem(KEPT_KEY + stageId, JSON.stringify(one))
    else localStorage.removeItem(KEPT_KEY + stageId)
  }
  async function make(): Promise<void> {
    setBusy(true)
    setSaid('The voice reads it …')
    try {
      const response = await fetch(`/api/stages/${stageId}/learn/walk?minutes=${minutes}&format=${format}`)
      if (!response.ok) throw new Error(((await response.json()) as Problem).detail)
      const name = /filename="([^"]+)"/.exec(response.headers.get('Content-Disposition') ?? '')?.[1] ?? `walk.${format}`
      save(await response.blob(), name)
      const on = numbersOf(response.headers.get('X-Calls') ?? '')
      keep({ id: crypto.randomUUID(), calls: on, secondsEach: (minutes * 60) / Math.max(1, on.length) })
      setSaid(`Saved as ${name}.`)
    } catch (error) {
      setSaid((error as Error).message)
    }
    setBusy(false)
  }
  async function mark(answered: boolean): Promise<void> {
    const answers = walk!.calls.map((call): AnswerSent => {
      const heard = { id: `${walk!.id}-${call}`, call, seconds: Math.min(60, walk!.secondsEach) }
      return answered
        ? { ...heard, how: 'self', grade: missed.has(call) ? 'no' : 'in time' }
        : { ...heard, how: 'listen' }
    })
    try {
      await request(`/stages/${stageId}/learn/answers`, send('POST', { answers, zone }))
      keep(null)
      setSaid(answered ? `Marked: ${answers.length - missed.size} of ${answers.length} known.` : 'Marked as heard.')
      changed()
    } catch (error) {
      setSaid((error as Error).message)
    }
  }

  return (
    <section className="stack walk" aria-labelledby="walk">
      <h2 id="walk">For a walk</h2>
      <p className="small">Sound alone: a gap to say each call in, then the call, from where you stopped.</p>
      <div className="row">
        <label>
          length{' '}
          <select value={minutes} onChange={(event) => setMinutes(Number(event.target.value))}>
            {MINUTES.map((one) => (
              <option key={one} value={one}>
                {one} minutes
              </option>
            ))}
          </select>
        </label>
        <label>
          as{' '}
          <select value={format} onChange={(event) => setFormat(event.target.value)}>
            <option value="mp3">MP3</option>
            <option value="wav">WAV</option>
          </select>
        </label>
        <button type="button" disabled={busy} onClick={make}>
          save the sound
        </button>
      </div>
      {walk && (
        <details>
          <summary>Walked it? Say how it went</summary>
          <div className="stack">
            <p className="small">Mark what you did not know.</p>
            <ul className="scroll missed">
              {walk.calls.map((call) => (
                <li key={call}>
                  <label>
                    <input
                      type="checkbox"
                      checked={missed.has(call)}
                      onChange={() => {
                        const next = new Set(missed)
                        if (!next.delete(call)) next.add(call)
                        setMissed(next)
                      }}
                    />{' '}
                    {call + 1}. {calls[call]?.text ?? 'no longer in the notes'}
                  </label>
                </li>
              ))}
            </ul>
            <div className="row">
              <button type="button" onClick={() => mark(true)}>
                I said them; keep it
              </button>
              <button type="button" onClick={() => mark(false)}>
                I only heard it
              </button>
              <button type="button" onClick={() => keep(null)}>
                not walked
              </button>
            </div>
          </div>
        </details>
      )}
      <p className="small soft" role="status">
        {said ?? ' '}
      </p>
    </section>
  )
}

function save(sound: Blob, name: string): void {
  const url = URL.createObjectURL(sound)
  const link = document.createElement('a')
  link.href = url
  link.download = name
  link.click()
  setTimeout(() => URL.revokeObjectURL(url), 60_000)
}

/** Whole numbers of "11-45,0-10", in their order. */
function numbersOf(ranges: string): number[] {
  return ranges.split(',').flatMap((range) => {
    const [from, to] = range.split('-').map(Number)
    return from === undefined || to === undefined ? [] : Array.from({ length: to - from + 1 }, (_, i) => from + i)
  })
}

function readWalk(stageId: string): Walk | null {
  try {
    return JSON.parse(localStorage.getItem(KEPT_KEY + stageId) ?? 'null') as Walk | null
  } catch {
    return null
  }
}
