import { lazy, Suspense, useCallback, useEffect, useState } from 'react'
import type { LearnView } from '../../server/api/learnWire.ts'
import type { RoadTable } from '../../server/api/wire.ts'
import { request, send } from '../connection/request.ts'
import { useLoaded } from '../connection/useLoaded.ts'
import { ProblemPage } from '../look/ProblemPage.tsx'
import { DeskDrill } from './DeskDrill.tsx'
import { EventForm } from './EventForm.tsx'
import { KnownRoad } from './KnownRoad.tsx'
import { dayInWords, minutesInWords, percent } from './learnWords.ts'
import { OtherDevice } from './OtherDevice.tsx'
import { TodayList } from './TodayList.tsx'
import { WalkPart } from './WalkPart.tsx'
import './learn.css'

const ForecastChart = lazy(() => import('./ForecastChart.tsx'))

/** By heart: the stage asked back, what will be known on the day, and what each day until then brings. */
export default function LearnPage({ stageId }: { stageId: string; query: URLSearchParams }) {
  const [zone] = useState(() => Intl.DateTimeFormat().resolvedOptions().timeZone)
  const [view, setView] = useState<LearnView | null>(null)
  const { loaded: road } = useLoaded<RoadTable>(`/stages/${stageId}/road?step=5`)
  const [problem, setProblem] = useState<string | null>(null)

  const ask = useCallback(
    (path: string, init?: RequestInit) => {
      request<LearnView>(`/stages/${stageId}/${path}?zone=${encodeURIComponent(zone)}`, init).then(
        (answer) => {
          setView(answer)
          setProblem(null)
        },
        (error: Error) => setProblem(error.message),
      )
    },
    [stageId, zone],
  )
  const load = useCallback(() => ask('learn'), [ask])
  useEffect(load, [load])
  const settle = (call: number, from: string | null) => ask('learn/offers', send('POST', { call, from }))

  if (problem && !view) return <ProblemPage text={problem} />
  if (!view) return <main aria-busy="true">Opening what you know …</main>
  return (
    <main className="learn">
      <h1>By heart: {view.title}</h1>
      {view.problem && <p className="problem">{view.problem}</p>}
      {problem && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      <p className="lead" data-share={view.forecast?.share} role="status">
        {forecastInWords(view)}
      </p>
      <div className="columns">
        <div className="stack">
          {view.calls
            .filter((call) => call.offered.length > 0)
            .map((call) => (
              <div key={call.call} className="offer stack">
                <p>
                  Call {call.call + 1}, “{call.text}”, may be one you knew before.
                </p>
                <div className="row">
                  {call.offered.map((one) => (
                    <button key={one.id} type="button" onClick={() => settle(call.call, one.id)}>
                      it is “{one.text}”, met {one.met} times
                    </button>
                  ))}
                  <button type="button" onClick={() => settle(call.call, null)}>
                    it is new
                  </button>
                </div>
              </div>
            ))}
          <TodayList view={view} />
          <DeskDrill stageId={stageId} zone={zone} road={road} calls={view.calls} changed={load} />
          <p>
            <a href={`/stages/${stageId}/drive?ride=memory`}>Ride it from memory on the road</a>
          </p>
          {view.calls.length > 0 && <WalkPart stageId={stageId} zone={zone} calls={view.calls} changed={load} />}
          {view.calls.length > 0 && <OtherDevice stageId={stageId} changed={load} />}
        </div>
        <div className="stack">
          <h2>Where it stands</h2>
          {road && view.calls.length > 0 && <KnownRoad road={road} calls={view.calls} />}
        </div>
        <div className="stack">
          <h2>To the day</h2>
          <EventForm stageId={stageId} zone={zone} done={load} />
          <Plan view={view} />
          {view.curve.length > 0 && (
            <Suspense fallback={<p aria-busy="true">Drawing …</p>}>
              <ForecastChart curve={view.curve} />
            </Suspense>
          )}
        </div>
      </div>
      <p className="small soft">
        Learn at a desk or on foot, never at the wheel on a road open to others. A forecast is no promise; on the day
        the notes are read.
      </p>
    </main>
  )
}

/** "About 100 %" would promise what no forecast can. */
const NEARLY_ALL = 0.985
const ENOUGH = 0.8

function forecastInWords({ forecast, event, calls }: LearnView): string {
  if (calls.length === 0) return 'There is nothing to learn yet: write the notes first.'
  const day = event ? `by ${dayInWords(event.date)}` : 'tomorrow'
  if (!forecast || forecast.early) {
    const last = forecast?.lastNight
    return `Too early to say what you will know ${day}${last == null ? '; that takes a third evening.' : `; of what you were asked a day later, ${percent(last)} was right.`}`
  }
  return `You will probably know ${forecast.share > NEARLY_ALL ? 'nearly all of it' : `about ${percent(forecast.share)}`} ${day} (${Math.round(forecast.low * 100)}–${Math.round(forecast.high * 100)}); ${percent(forecast.stopped)} if you stopped now.`
}

function Plan({ view }: { view: LearnView }) {
  const { plan, event } = view
  const days = view.streak === 1 ? 'one day' : `${view.streak} days`
  // What is nearly known already needs no warning that little can be added.
  const known = view.forecast !== null && !view.forecast.early && view.forecast.stopped > ENOUGH
  const today = (
    <p>
      Today so far: {minutesInWords(view.doneToday)}.{view.streak > 1 && ` ${days} in a row.`}
    </p>
  )
  if (!plan || !event) return today
  if (plan.state === 'past')
    return <p>{event.name} has been driven. What you learnt is kept; set another day to go on.</p>
  return (
    <>
      {today}
      {plan.state === 'today' && <p>It is today: ride it before the start, or rest.</p>}
      {!known && plan.time === 'short' && <p>Time is short: ride everything; expect to know part of it.</p>}
      {!known && plan.time === 'very short' && (
        <p>
          There is time for less than two rides. Ride everything once, or listen once and learn only the great moments:
          fewer calls will be known, but the ones that matter.
        </p>
      )}
      {view.ample && <p>Two days running you said nearly all of it in time. It may be enough.</p>}
      <table>
        <caption className="hidden">What each day brings</caption>
        <thead>
          <tr>
            <th scope="col">day</th>
            <th scope="col" className="number">
              time
            </th>
            <th scope="col" className="number">
              rides
            </th>
          </tr>
        </thead>
        <tbody>
          {plan.days.map((day) => (
            <tr key={`${day.date} ${day.when}`}>
              <th scope="row">
                {dayInWords(day.date)}
                {day.when === 'morning' ? ', before the start' : ''}
              </th>
              <td className="number">{minutesInWords(day.seconds)}</td>
              <td className="number">{day.rides.toFixed(1)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  )
}
