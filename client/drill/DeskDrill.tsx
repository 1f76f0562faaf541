import { useEffect, useRef, useState } from 'react'
import type { AnswersTaken, Graded, LearnCall } from '../../server/api/learnWire.ts'
import type { RoadTable } from '../../server/api/wire.ts'
import type { Question } from '../../server/drill/question.ts'
import { request, send } from '../connection/request.ts'
import { RoadCue } from './RoadCue.tsx'

type Way = 'type' | 'choose' | 'judge'
const WAYS: readonly { id: Way; name: string }[] = [
  { id: 'type', name: 'type it' },
  { id: 'choose', name: 'choose' },
  { id: 'judge', name: 'judge myself' },
]
const KINDS = [
  ['say', 'what is said here'],
  ['follows', 'which call follows'],
  ['tightens', 'where it tightens'],
  ['order', 'sections in order'],
  ['moment', 'the great moments'],
] as const
const GRADES = [
  ['1', 'in time', 'in time'],
  ['2', 'late', 'late, but right'],
  ['3', 'no', 'no'],
] as const

/** The drill at a desk, by keyboard throughout: a call is hidden, said or typed or chosen, then shown; what was answered is on the disk before the next shows. */
export function DeskDrill({
  stageId,
  zone,
  road,
  calls,
  changed,
}: {
  stageId: string
  zone: string
  road: RoadTable | null
  calls: readonly LearnCall[]
  changed: () => void
}) {
  const [kind, setKind] = useState<Question['kind']>('say')
  const [way, setWay] = useState<Way>('type')
  const [question, setQuestion] = useState<Question | null | undefined>(undefined)
  const [graded, setGraded] = useState<Graded | null>(null)
  const [next, setNext] = useState<Question | null>(null)
  const [shown, setShown] = useState(false)
  const [claimed, setClaimed] = useState<boolean | null>(null)
  const [typed, setTyped] = useState('')
  const [order, setOrder] = useState<readonly string[]>([])
  const [problem, setProblem] = useState<string | null>(null)
  const [busy, setBusy] = useState(false)
  const asked = useRef(0)
  const focus = useRef<HTMLElement>(null)

  const pose = (one: Question | null) => {
    setQuestion(one)
    setGraded(null)
    setShown(false)
    setClaimed(null)
    setTyped('')
    setOrder([])
    asked.current = performance.now()
  }
  // biome-ignore lint/correctness/useExhaustiveDependencies: only another kind or stage asks anew
  useEffect(() => {
    let alive = true
    request<Question | null>(`/stages/${stageId}/learn/next?kind=${kind}&zone=${encodeURIComponent(zone)}`).then(
      (one) => alive && pose(one),
      (error: Error) => alive && setProblem(error.message),
    )
    return () => {
      alive = false
    }
  }, [stageId, kind, zone])
  // biome-ignore lint/correctness/useExhaustiveDependencies: what is shown next takes the focus
  useEffect(() => focus.current?.focus(), [question, graded, shown, claimed, way])

  async function answer(
    how: 'listen' | 'self' | 'typed' | 'chosen',
    more: { grade?: string; text?: string },
  ): Promise<void> {
    if (!question || busy) return
    setBusy(true)
    setProblem(null)
    try {
      const seconds = Math.min(600, (performance.now() - asked.current) / 1000)
      const sent = {
        id: crypto.randomUUID(),
        call: question.call,
        kind,
        how,
        seconds,
        ...(claimed === null ? {} : { claimed }),
        ...more,
      }
      const taken = await request<AnswersTaken>(
        `/stages/${stageId}/learn/answers`,
        send('POST', { answers: [sent], zone, kind }),
      )
      changed()
      if (how === 'listen' || how === 'self') pose(taken.next)
      else {
        setGraded(taken.graded[0]!)
        setNext(taken.next)
      }
    } catch (error) {
      setProblem((error as Error).message)
    } finally {
      setBusy(false)
    }
  }

  if (question === undefined)
    return problem ? (
      <p className="problem" role="alert">
        {problem}
      </p>
    ) : (
      <p aria-busy="true">Choosing the first call …</p>
    )
  const place = question ? calls[question.call] : undefined
  const must = question?.check && kind === 'say' && !question.hear
  const ordering = kind === 'order'
  const using: Way = ordering
    ? 'choose'
    : must && way === 'judge'
      ? 'type'
      : kind !== 'say' && kind !== 'follows' && way === 'type'
        ? 'choose'
        : way
  return (
    <section aria-label="Drill" className="drill stack">
      <div className="row">
        <label>
          Ask{' '}
          <select value={kind} onChange={(event) => setKind(event.target.value as Question['kind'])}>
            {KINDS.map(([id, name]) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
        {WAYS.map((one) => (
          <button key={one.id} type="button" aria-pressed={way === one.id} onClick={() => setWay(one.id)}>
            {one.name}
          </button>
        ))}
      </div>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      {question === null ? (
        <p>
          {kind === 'say'
            ? 'There is nothing to learn yet: write the notes first.'
            : 'This stage has nothing to ask of this kind.'}
        </p>
      ) : (
        <div className="card stack" data-call={question.call}>
          <p className="soft">
            Call {question.call + 1}
            {question.gap === 'run' && ', in a run: go on from what you said'}
          </p>
          {road && place && kind === 'say' && <RoadCue road={road} from={place.from} to={place.to} />}
          {question.leads && !question.hear && (
            <p className="leads">
              <span className="soft">{kind === 'moment' ? 'after ' : 'before it: '}</span>
              {question.leads}
            </p>
          )}
          {question.hear ? (
            <>
              <p>New: read it aloud once, then go on.</p>
              <p className="due">{question.answer}</p>
              <button
                ref={focus as React.RefObject<HTMLButtonElement>}
                type="button"
                disabled={busy}
                onClick={() => answer('listen', {})}
              >
                read, go on
              </button>
            </>
          ) : graded ? (
            <>
              <p className="due" role="status">
                {graded.grade === 'no' ? 'No. It is: ' : graded.grade === 'late' ? 'Right, but late: ' : 'Right: '}
                {graded.answer}
              </p>
              {graded.setBack && (
                <p className="small">The clock stands before the last answer; this one counts as a second after it.</p>
              )}
              <button ref={focus as React.RefObject<HTMLButtonElement>} type="button" onClick={() => pose(next)}>
                next
              </button>
            </>
          ) : must && claimed === null ? (
            <>
              <p>{question.asks} This one is checked. Do you know it?</p>
              <div className="row">
                <button
                  ref={focus as React.RefObject<HTMLButtonElement>}
                  type="button"
                  onClick={() => setClaimed(true)}
                >
                  yes
                </button>
                <button type="button" onClick={() => setClaimed(false)}>
                  no
                </button>
              </div>
            </>
          ) : (
            <>
              <p>{question.asks}</p>
              {question.blanked && <p className="due">{question.blanked}</p>}
              {using === 'type' && (
                <form
                  className="row"
                  onSubmit={(event) => {
                    event.preventDefault()
                    void answer('typed', { text: typed })
                  }}
                >
                  <label>
                    The call{' '}
                    <input
                      ref={focus as React.RefObject<HTMLInputElement>}
                      type="text"
                      autoComplete="off"
                      value={typed}
                      onChange={(event) => setTyped(event.target.value)}
                    />
                  </label>
                  <button type="submit" disabled={busy}>
                    answer
                  </button>
                </form>
              )}
              {using === 'choose' && (
                <ol className="stack choices">
                  {question.choices.map((text, i) => (
                    <li key={text}>
                      <button
                        ref={i === 0 ? (focus as React.RefObject<HTMLButtonElement>) : undefined}
                        type="button"
                        disabled={busy || order.includes(text)}
                        onClick={() => {
                          if (!ordering) return void answer('chosen', { text })
                          const given = [...order, text]
                          if (given.length < question.choices.length) setOrder(given)
                          else void answer('chosen', { text: given.join('\n') })
                        }}
                      >
                        {order.includes(text) && `${order.indexOf(text) + 1}. `}
                        {text}
                      </button>
                    </li>
                  ))}
                </ol>
              )}
              {using === 'judge' &&
                (shown ? (
                  <>
                    <p className="due" role="status">
                      {question.answer}
                    </p>
                    <div className="row">
                      {GRADES.map(([key, grade, name], i) => (
                        <button
                          key={grade}
                          ref={i === 0 ? (focus as React.RefObject<HTMLButtonElement>) : undefined}
                          type="button"
                          disabled={busy}
                          aria-keyshortcuts={key}
                          onKeyDown={(event) => {
                            const by = GRADES.find((one) => one[0] === event.key)
                            if (by) void answer('self', { grade: by[1] })
                          }}
                          onClick={() => answer('self', { grade })}
                        >
                          {key} {name}
                        </button>
                      ))}
                    </div>
                  </>
                ) : (
                  <button
                    ref={focus as React.RefObject<HTMLButtonElement>}
                    type="button"
                    onClick={() => setShown(true)}
                  >
                    say it, then show it
                  </button>
                ))}
            </>
          )}
        </div>
      )}
    </section>
  )
}
