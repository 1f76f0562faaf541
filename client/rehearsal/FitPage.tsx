import { useEffect, useMemo, useRef, useState } from 'react'
import type { PlanDocument, PlanRequest, RoadTable, StageDetail } from '../../server/api/wire.ts'
import type { Car, Surface } from '../../server/speed/speed.ts'
import { request } from '../connection/request.ts'
import { clockInWords, countInWords, speedInWords, type Units } from '../look/words.ts'
import { Crunches } from './Crunches.tsx'
import { FitControls } from './FitControls.tsx'
import { Kept } from './Kept.tsx'
import { SpeedSlider } from './SpeedSlider.tsx'
import { TalkStrip } from './TalkStrip.tsx'
import { useFitRun } from './useFitRun.ts'
import { WhyThen } from './WhyThen.tsx'
import { OtherSpeeds, WordingTable } from './WordingTable.tsx'
import './fit.css'

/** Commitment of a usual pace: what a stage is planned at where its own target cannot be met. */
const USUAL_PACE = 0.85

/** Fit: what can be said in time at a target speed, what cannot, and what to do about it. */
export default function FitPage({ stageId, query }: { stageId: string; query: URLSearchParams }) {
  const [stage, setStage] = useState<StageDetail | null>(null)
  const [road, setRoad] = useState<RoadTable | null>(null)
  const [tables, setTables] = useState<{ cars: Car[]; surfaces: Surface[] } | null>(null)
  const [trouble, setTrouble] = useState<string | null>(null)
  const [said, setSaid] = useState<string | null>(null)
  const [chosen, setChosen] = useState<number | null>(null)
  const [look, setLook] = useState<{ time: number } | null>(() =>
    query.has('t') ? { time: Number(query.get('t')) } : null,
  )
  const [ghost, setGhost] = useState<PlanDocument | null>(null)
  const run = useFitRun(stageId, stage)
  const { plan, fit, progress, ask } = run
  const problem = trouble ?? run.problem

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
      (error: Error) => setTrouble(error.message),
    )
  }, [stageId])

  const worst = useMemo(
    () =>
      [...(plan?.crunches ?? [])]
        .map((crunch, i) => ({ crunch, i }))
        .filter(({ crunch }) => crunch.over > 0.2)
        .sort((a, b) => b.crunch.over - a.crunch.over),
    [plan],
  )

  // The strip opens where something does not fit, else at the start; after that it stays where the crew has moved it.
  const opened = useRef(query.has('t'))
  const ready = stage !== null && road !== null && tables !== null
  useEffect(() => {
    if (opened.current || !ready || !plan || plan.speech === 'estimated') return
    opened.current = true
    const first = plan.calls.find((call) => call.index === worst[0]?.crunch.first)
    if (first) setLook({ time: first.start })
  }, [ready, plan, worst])

  if (!stage || !road || !plan || !tables) {
    return (
      <main aria-busy={problem === null}>
        {problem ? (
          <>
            <p className="problem" role="alert">
              {problem}
            </p>
            {stage && road && (
              <p>
                <button type="button" onClick={() => ask({ target: { kind: 'commitment', commitment: USUAL_PACE } })}>
                  plan it at this car’s usual pace here
                </button>
              </p>
            )}
          </>
        ) : (
          <p role="status">Working out the calls …</p>
        )}
      </main>
    )
  }
  const { units } = stage.settings
  const apply = (change: PlanRequest, words: string) => {
    ask(change)
    setSaid(words)
  }
  return (
    <main className="stack fit">
      <h1 className="hidden">Fit: {stage.title}</h1>
      <SpeedSlider plan={plan} fit={fit} units={units} set={(speed) => ask({ target: { kind: 'average', speed } })} />
      <FitControls plan={plan} tables={tables} ask={ask} />
      <p className="lead" role="status">
        <Sentence plan={plan} units={units} crunches={worst.length} />
        {progress &&
          ` The voice has read ${progress.done} of ${progress.total} calls; lengths are estimated until then.`}
        {said && ` ${said}`}
      </p>
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      {plan.speech === 'pace' && (
        <p className="soft">
          Lengths are worked out from {plan.run.pace!.syllablesPerSecond.toFixed(1)} syllables a second, not from the
          voice.
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
            apply={apply}
          />
          <Kept plan={plan} units={units} apply={apply} />
          <div className="row small">
            <button
              type="button"
              className="quiet"
              disabled={!run.canUndo}
              onClick={() => {
                if (run.undo()) setSaid('Undone.')
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
          <WhyThen plan={plan} chosen={chosen} units={units} />
        </section>
        <section>
          <h2>Wordings at {speedInWords(plan.run.averageSpeed, units, 0)}</h2>
          <WordingTable fit={fit} plan={plan} units={units} choose={(wording) => ask({ wording })} />
        </section>
      </div>
      <OtherSpeeds fit={fit} plan={plan} units={units} />
    </main>
  )
}

function Sentence({ plan, units, crunches }: { plan: PlanDocument; units: Units; crunches: number }) {
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
      {plan.fits === 'any speed' && plan.calls.length > 0 && 'So does it at any speed this car can do here.'}
      {plan.fits === 'no speed' && 'At no speed does everything fit: something must be left out.'}
      {(plan.fits === 'to ceiling' || plan.fits === undefined) && plan.ceiling && (
        <>
          Everything fits up to <b>{speedInWords(plan.ceiling.averageSpeed, units)}</b>
          {plan.ceiling.method === 'closed form' ? ' or so' : ''}.
        </>
      )}
    </>
  )
}
