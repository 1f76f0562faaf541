import { useEffect, useRef, useState } from 'react'
import type { LearnView } from '../../server/api/learnWire.ts'
import type { PlanDocument } from '../../server/api/wire.ts'
import { request, send } from '../connection/request.ts'

const GRADES = [
  ['1', 'in time', 'in time'],
  ['2', 'late', 'late'],
  ['3', 'no', 'no'],
] as const

/**
 * From memory: the call due is hidden; the crew says it, then the voice does, in time as on the stage, and the crew judges by 1, 2 or 3 until the next one is
 * said. What nobody judged counts as heard. Begins where the last ride stopped.
 */
export function MemoryCaptions({
  stageId,
  plan,
  call,
  toCall,
}: {
  stageId: string
  plan: PlanDocument
  call: number
  toCall: (position: number) => void
}) {
  const [note, setNote] = useState('Say each call before the voice does; then 1 in time, 2 late, 3 no.')
  const [given, setGiven] = useState(-1)
  const judged = useRef(-1)
  const last = useRef(-1)
  const said = plan.calls[call]

  const judge = (position: number, grade: 'in time' | 'late' | 'no' | null) => {
    const one = plan.calls[position]
    if (!one || judged.current === position) return
    judged.current = position
    if (grade !== null) setGiven(position)
    const seconds = Math.max(0, (plan.calls[position + 1]?.start ?? one.end) - one.start)
    const answer = {
      id: crypto.randomUUID(),
      call: one.index,
      how: 'self',
      grade,
      seconds: Math.min(600, seconds),
      pace: 'full',
    }
    const zone = Intl.DateTimeFormat().resolvedOptions().timeZone
    request(`/stages/${stageId}/learn/answers`, send('POST', { answers: [answer], zone })).then(
      () => grade !== null && setNote(`Kept: ${grade}.`),
      (error: Error) => setNote(error.message),
    )
  }

  // biome-ignore lint/correctness/useExhaustiveDependencies: once, when the ride from memory begins
  useEffect(() => {
    let alive = true
    request<LearnView>(`/stages/${stageId}/learn`).then(
      ({ ride }) => {
        const position = plan.calls.findIndex((one) => one.index >= ride.position)
        if (alive && ride.position > 0 && position > 0) toCall(position)
      },
      () => {},
    )
    return () => {
      alive = false
    }
  }, [stageId])

  // biome-ignore lint/correctness/useExhaustiveDependencies: only a next call ends the time of the last one
  useEffect(() => {
    // A jump is no ride: only the call just before counts as heard.
    if (last.current >= 0 && call === last.current + 1) judge(last.current, null)
    if (call !== judged.current) judged.current = -1
    last.current = call
  }, [call])

  useEffect(() => {
    const keys = (event: KeyboardEvent) => {
      if (event.target instanceof HTMLElement && /^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName)) return
      const by = GRADES.find((one) => one[0] === event.key)
      if (by) judge(call, by[1])
    }
    addEventListener('keydown', keys)
    return () => removeEventListener('keydown', keys)
  })

  return (
    <>
      <p className="now">{said ? <span>{said.say}</span> : ' '}</p>
      <p className="next">{plan.calls[call + 1] ? 'then? Say it now.' : 'That was the last call.'}</p>
      <div className="controls">
        {GRADES.map(([key, grade, name]) => (
          <button
            key={grade}
            type="button"
            aria-keyshortcuts={key}
            disabled={!said || given === call}
            onClick={() => judge(call, grade)}
          >
            {key} {name}
          </button>
        ))}
        <span className="small soft" role="status">
          {note}
        </span>
      </div>
    </>
  )
}
