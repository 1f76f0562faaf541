import { useCallback, useEffect, useMemo, useRef, useState } from 'react'
import type { FitDocument, PlanDocument, PlanRequest, RoadTable, StageDetail } from '../../server/api/wire.ts'
import type { Car, Surface } from '../../server/speed/speed.ts'
import { changePlan, prepareSpeech, Superseded } from '../connection/live.ts'
import { request, send } from '../connection/request.ts'
import { clockInWords, countInWords, lengthInWords, speedInWords, type Units } from '../look/words.ts'
import { Crunches } from './Crunches.tsx'
import { Figure } from './Figure.tsx'
import { SpeedSlider } from './SpeedSlider.tsx'
import { TalkStrip } from './TalkStrip.tsx'
import { WordingTable } from './WordingTable.tsx'
import './fit.css'

const WORDINGS = ['verbose', 'standard', 'terse', 'automatic'] as const

/** Fit: what can be said in time at a target speed, what cannot, and what to do about it. */
export default function FitPage({ stageId, query }: { stageId: string; query: URLSearchParams }) {
  const [stage, setStage] = useState<StageDetail | null>(null)
  const [road, setRoad] = useState<RoadTable | null>(null)
  const [plan, setPlan] = useState<PlanDocument | null>(null)
  const [fit, setFit] = useState<FitDocument | null>(null)
  const [tables, setTables] = useState<{ cars: Car[]; surfaces: Surface[] } | null>(null)
  const [asked, setAsked] = useState<PlanRequest>({ full: true })
  const [progress, setProgress] = useState<{ done: number; total: number } | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [said, setSaid] = useState<string | null>(null)
  const [chosen, setChosen] = useState<number | null>(null)
  const [look, setLook] = useState<{ time: number } | null>(() =>
    query.has('t') ? { time: Number(query.get('t')) } : null,
  )
  const [ghost, setGhost] = useState<PlanDocument | null>(null)
  const undo = useRef<{ pins?: string[]; asked: PlanRequest }[]>([])

  useEffect(() => {
    Promise.all([
      request<StageDetail>(`/stages/${stageId}`),
      request<RoadTable>(`/stages/${stageId}/road?step=2`),
      request<Car[]>('/cars'),
      request<Surface[]>('/surfaces'),
    ]).then(
      ([detail, table, cars, surfaces]) => {
        setStage(detail)
        setRoad(table)
        setTables({ cars, surfaces })
      },
      (error: Error) => setProblem(error.message),
    )
  }, [stageId])

  // At once on what is known, then on the voice that will be heard.
  useEffect(() => {
    let alive = true
    changePlan(stageId, asked)
      .then(async (first) => {
        if (!alive) return
        setPlan(first)
        setProblem(null)
        if (first.speech === 'voice') return
        const voiced = await prepareSpeech(stageId, asked, (done, total) => alive && setProgress({ done, total }))
        if (alive) setPlan(voiced)
      })
      .catch((error: Error) => alive && !(error instanceof Superseded) && setProblem(error.message))
      .finally(() => alive && setProgress(null))
    return () => {
      alive = false
    }
  }, [stageId, asked])

  const { surface, car, voice, rate, lead, reaction } = asked
  const settled = plan?.speech === 'voice' ? plan.run.averageSpeed : null
  useEffect(() => {
    if (settled === null) return
    const wait = setTimeout(() => {
      request<FitDocument>(
        `/stages/${stageId}/fit`,
        send('POST', { surface, car, voice, rate, lead, reaction, target: { kind: 'average', speed: settled } }),
      ).then(setFit, () => setFit(null))
    }, 250)
    return () => clearTimeout(wait)
  }, [stageId, settled, surface, car, voice, rate, lead, reaction])

  const ask = useCallback((change: PlanRequest) => {
    setAsked((before) => {
      undo.current.push({ asked: before })
      return { ...before, ...change }
    })
  }, [])

  const worst = useMemo(
    () =>
      [...(plan?.crunches ?? [])]
        .map((crunch, i) => ({ crunch, i }))
        .filter(({ crunch }) => crunch.over > 0.2)
        .sort((a, b) => b.crunch.over - a.crunch.over),
    [plan],
  )

  if (!stage || !road || !plan || !tables) {
    return (
      <main aria-busy={problem === null}>
        {problem ? (
          <p className="problem" role="alert">
            {problem}
          </p>
        ) : (
          <p role="status">Working out the calls …</p>
        )}
      </main>
    )
  }
  const { units } = stage.settings
  return (
    <main className="stack fit">
      <h1 className="hidden">Fit: {stage.title}</h1>
      <SpeedSlider plan={plan} fit={fit} units={units} set={(speed) => ask({ target: { kind: 'average', speed } })} />
      <div className="row">
        <fieldset className="choice">
          <legend className="hidden">Wording</legend>
          {WORDINGS.map((wording) => (
            <button
              key={wording}
              type="button"
              aria-pressed={plan.run.wording === wording}
              onClick={() => ask({ wording })}
            >
              {wording}
            </button>
          ))}
        </fieldset>
        <label>
          surface{' '}
          <select value={plan.run.surface} onChange={(event) => ask({ surface: event.target.value })}>
            {tables.surfaces.map((one) => (
              <option key={one.id} value={one.id}>
                {one.name}
              </option>
            ))}
          </select>
        </label>
        <label>
          car{' '}
          <select value={plan.run.car} onChange={(event) => ask({ car: event.target.value })}>
            {tables.cars.map((one) => (
              <option key={one.id} value={one.id}>
                {one.name}
              </option>
            ))}
          </select>
        </label>
        <Figure
          name="lead"
          value={lead ?? plan.run.lead}
          step={0.5}
          most={8}
          unit="s"
          set={(value) => ask({ lead: value })}
        />
        <Figure
          name="reaction"
          value={reaction ?? plan.run.reactionTime}
          step={0.05}
          most={3}
          unit="s"
          set={(value) => ask({ reaction: value })}
        />
        <Figure
          name="reading"
          value={rate ?? plan.run.rate}
          step={10}
          least={120}
          most={320}
          unit="words/min"
          set={(value) => ask({ rate: value })}
        />
      </div>
      <p className="lead" role="status">
        <Sentence
          plan={plan}
          units={units}
          crunches={worst.length}
          unbound={fit?.wordings.find((row) => row.wording === plan.run.wording)?.ceiling === null}
        />
        {progress &&
          ` The voice has read ${progress.done} of ${progress.total} calls; lengths are estimated until then.`}
        {said && ` ${said}`}
      </p>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      {plan.run.roadSource === 'notes' && (
        <p className="soft">The road is drawn from the notes, not measured; so are these times.</p>
      )}
      <TalkStrip plan={plan} road={road} units={units} chosen={chosen} choose={setChosen} look={look} ghost={ghost} />
      <div className="columns">
        <section>
          <h2>What does not fit</h2>
          <Crunches
            plan={plan}
            worst={worst}
            units={units}
            jump={(time, i) => {
              setChosen(i)
              setLook({ time })
            }}
            apply={(change, words) => {
              ask(change)
              setSaid(words)
            }}
          />
          <div className="row small">
            <button
              type="button"
              className="quiet"
              disabled={undo.current.length === 0}
              onClick={() => {
                const before = undo.current.pop()
                if (before) setAsked(before.asked)
                setSaid('Undone.')
              }}
            >
              undo
            </button>
            <button
              type="button"
              className="quiet"
              aria-pressed={ghost !== null}
              onClick={() => setGhost(ghost ? null : plan)}
            >
              {ghost ? 'stop comparing' : 'keep this to compare'}
            </button>
          </div>
        </section>
        <section aria-live="polite">
          <Why plan={plan} chosen={chosen} units={units} />
        </section>
        <section>
          <h2>Wordings at {speedInWords(plan.run.averageSpeed, units, 0)}</h2>
          <WordingTable fit={fit} plan={plan} units={units} choose={(wording) => ask({ wording })} />
        </section>
      </div>
    </main>
  )
}

function Sentence({
  plan,
  units,
  crunches,
  unbound,
}: {
  plan: PlanDocument
  units: Units
  crunches: number
  /** No speed this car can do here makes anything late. */
  unbound: boolean
}) {
  return (
    <>
      At <b>{speedInWords(plan.run.averageSpeed, units)}</b> ({clockInWords(plan.run.time)}){' '}
      {plan.calls.length === 0 ? (
        'there is nothing to say yet; write some notes first.'
      ) : crunches === 0 ? (
        'everything fits.'
      ) : (
        <b className="over">{`${countInWords(crunches)} ${crunches === 1 ? 'place does' : 'places do'} not fit.`}</b>
      )}{' '}
      {unbound && crunches === 0 && 'So does it at any speed this car can do here.'}
      {!unbound && plan.ceiling && (
        <>
          Everything fits up to <b>{speedInWords(plan.ceiling.averageSpeed, units)}</b>
          {plan.ceiling.method === 'closed form' ? ' or so' : ''}.
        </>
      )}
    </>
  )
}

function Why({ plan, chosen, units }: { plan: PlanDocument; chosen: number | null; units: Units }) {
  const call = chosen === null ? null : plan.calls[chosen]
  if (!call) {
    return (
      <>
        <h2>Why then?</h2>
        <p className="soft">
          Choose a call on the strip, by click or arrow keys, to see why it must start when it does.
        </p>
      </>
    )
  }
  return (
    <>
      <h2>
        Why “{call.say}” must start by {clockInWords(call.latest)}
      </h2>
      <div className="stack">
        {(plan.explain?.[chosen!] ?? []).map((sentence) => (
          <p key={sentence}>{sentence}</p>
        ))}
        <p className="soft">
          At {lengthInWords(call.station, units)}: earliest {clockInWords(call.earliest)} · planned{' '}
          {clockInWords(call.start)} · latest {clockInWords(call.latest)} ·{' '}
          {call.late > 0.2 ? (
            <span className="over">{call.late.toFixed(1)} s over</span>
          ) : call.late > 0.002 ? (
            'tight'
          ) : (
            `${call.slack.toFixed(1)} s of slack`
          )}
        </p>
      </div>
    </>
  )
}
