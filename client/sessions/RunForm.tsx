import { useEffect, useState } from 'react'
import type { Act, Mode } from '../../server/sessions/clubWire.ts'
import { MODES } from './CrewTask.tsx'
import type { ClubSession } from './clubSession.ts'

const MODE_NAMES = Object.keys(MODES) as Mode[]

/** "1.2-3.4" or "1,2 – 3,4": kilometres of the stage; anything else is all of it. */
export function readPart(typed: string): { from?: number; to?: number } {
  const match = /^\s*(\d+(?:[.,]\d+)?)\s*[-–—]\s*(\d+(?:[.,]\d+)?)\s*$/.exec(typed)
  if (!match) return {}
  const [from, to] = [match[1]!, match[2]!].map((one) => Number(one.replace(',', '.')) * 1000) as [number, number]
  return to > from ? { from, to } : {}
}

/** "12, 30 45": numbers of calls as they are counted on the page, from one. */
export function readMarks(typed: string): { marks?: number[] } {
  const marks = [...typed.matchAll(/\d+/g)].map(([one]) => Number(one) - 1).filter((one) => one >= 0 && one <= 5000)
  return marks.length > 0 ? { marks: marks.slice(0, 200) } : {}
}

/** What is run next: stage, kind, speed, part of the road, and where the floor passes. */
export function RunForm({
  session,
  busy,
  act,
}: {
  session: ClubSession
  busy: boolean
  act: (act: Act) => Promise<void>
}) {
  const [stages, setStages] = useState<readonly { id: string; title: string }[]>([])
  const [stage, setStage] = useState('')
  const [mode, setMode] = useState<Mode>('listen')
  const [kmh, setKmh] = useState('')
  const [part, setPart] = useState('')
  const [marks, setMarks] = useState('')
  const token = session.link.me?.token
  useEffect(() => {
    if (!token) return
    session
      .fetch('/stages')
      .then((answer) => (answer.ok ? (answer.json() as Promise<{ id: string; title: string }[]>) : []))
      .then((list) => {
        setStages(list)
        setStage((now) => now || (list[0]?.id ?? ''))
      })
      .catch(() => {})
  }, [session, token])
  const speed = Number(kmh.replace(',', '.')) / 3.6
  const turned = mode === 'turns' || mode === 'relay'
  if (stages.length === 0)
    return <p>There is no stage in the library yet. Open the demo on the Stages page, then come back.</p>
  return (
    <form
      className="row"
      onSubmit={(event) => {
        event.preventDefault()
        void act({
          do: 'run',
          stage,
          mode,
          ...(speed > 1 ? { average: speed } : {}),
          ...readPart(part),
          ...(turned ? readMarks(marks) : {}),
        })
      }}
    >
      <label>
        stage{' '}
        <select value={stage} onChange={(event) => setStage(event.target.value)}>
          {stages.map((one) => (
            <option key={one.id} value={one.id}>
              {one.title}
            </option>
          ))}
        </select>
      </label>
      <label>
        run{' '}
        <select value={mode} onChange={(event) => setMode(event.target.value as Mode)}>
          {MODE_NAMES.map((name) => (
            <option key={name} value={name}>
              {MODES[name]}
            </option>
          ))}
        </select>
      </label>
      <label>
        km/h{' '}
        <input
          type="text"
          inputMode="decimal"
          size={5}
          placeholder="stage’s"
          value={kmh}
          onChange={(event) => setKmh(event.target.value)}
        />
      </label>
      <label>
        part, km{' '}
        <input type="text" size={7} placeholder="all" value={part} onChange={(event) => setPart(event.target.value)} />
      </label>
      {turned && (
        <label>
          the floor passes at calls{' '}
          <input
            type="text"
            size={12}
            placeholder="spread evenly"
            value={marks}
            onChange={(event) => setMarks(event.target.value)}
          />
        </label>
      )}
      <button type="submit" disabled={busy || stage === ''}>
        make it ready
      </button>
    </form>
  )
}
