import { useCallback, useEffect, useState } from 'react'
import type { StageDetail } from '../../../server/api/wire.ts'
import type { TakeDetail, TakeSummary, TakesView } from '../../../server/api/wireTakes.ts'
import { request } from '../../connection/request.ts'
import { ProblemPage } from '../../look/ProblemPage.tsx'
import { WideTable } from '../../look/WideTable.tsx'
import { clockInWords, lengthInWords, speedInWords } from '../../look/words.ts'
import { hearAgain } from './hearAgain.ts'
import { ListenAgain } from './ListenAgain.tsx'
import { Progress } from './Progress.tsx'
import { ReplayTake } from './ReplayTake.tsx'
import { CallTable, TakeTimeline } from './TakeTimeline.tsx'
import { bytesInWords, dayOf, secondsInWords, takeInWords } from './takeInWords.ts'
import { aloneListening, sendLeftovers } from './takeKeeper.ts'
import { UsePace } from './UsePace.tsx'
import './reading.css'

/** Newest takes listed before the rest is asked for. */
const SHOWN = 8

/** Results: takes, early and late per call, where it goes wrong every time, pace, progress by day. */
export default function ResultsPage({ stageId, query }: { stageId: string; query: URLSearchParams }) {
  const [stage, setStage] = useState<StageDetail | null>(null)
  const [view, setView] = useState<TakesView | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [shown, setShown] = useState<string | null>(query.get('take'))
  const [all, setAll] = useState(false)
  const load = useCallback(async () => {
    try {
      const [detail, takes] = await Promise.all([
        request<StageDetail>(`/stages/${stageId}`),
        request<TakesView>(`/stages/${stageId}/takes`),
      ])
      setStage(detail)
      setView(takes)
    } catch (error) {
      setProblem((error as Error).message)
    }
  }, [stageId])
  useEffect(() => {
    void aloneListening(async () => void (await sendLeftovers(stageId))).then(load, load)
  }, [stageId, load])
  if (problem) return <ProblemPage text={problem} />
  if (!stage || !view) return <main aria-busy="true">Opening the takes …</main>
  const newest = [...view.takes].reverse()
  const { units } = stage.settings
  const erase = async (take: TakeSummary) => {
    if (!confirm(`Erase the take of ${dayOf(take.startedAt)} for good? Its sound cannot be brought back.`)) return
    await request(`/stages/${stageId}/takes/${take.id}`, { method: 'DELETE' })
    if (shown === take.id) setShown(null)
    await load()
  }
  const open = shown ?? newest.find((take) => take.kind === 'read')?.id ?? null
  return (
    <main className="stack results">
      <h1>Results: {stage.title}</h1>
      {newest.length === 0 ? (
        <p>
          No takes yet. <a href={`/stages/${stageId}/read`}>Read the stage aloud</a>, and every call is set against its
          window here.
        </p>
      ) : (
        <>
          {open && <OneTake key={open} stageId={stageId} id={open} takes={newest} changed={load} />}
          <section>
            <h2>Where it goes wrong every time</h2>
            {view.report.places.length === 0 ? (
              <p>No place has gone wrong in two takes.</p>
            ) : (
              <WideTable label="Places that go wrong">
                <table>
                  <thead>
                    <tr>
                      <th>place</th>
                      <th>call</th>
                      <th className="number">in window</th>
                      <th className="number">early</th>
                      <th className="number">late</th>
                      <th className="number">left out</th>
                      <th className="number">usual start</th>
                    </tr>
                  </thead>
                  <tbody>
                    {view.report.places.map((place) => (
                      <tr key={place.index}>
                        <td>{lengthInWords(place.station, units)}</td>
                        <td>{place.say}</td>
                        <td className="number">
                          {place.inWindow} of {place.takes}
                        </td>
                        <td className="number">{place.early}</td>
                        <td className="number">{place.late}</td>
                        <td className="number">{place.skipped}</td>
                        <td className="number">{place.medianOff === null ? '' : secondsInWords(place.medianOff)}</td>
                      </tr>
                    ))}
                  </tbody>
                </table>
              </WideTable>
            )}
          </section>
          <UsePace stage={stage} view={view} changed={setStage} />
          <Progress view={view} units={units} />
          <section>
            <h2>Takes</h2>
            <WideTable label="Takes">
              <table className="takes">
                <thead>
                  <tr>
                    <th>when</th>
                    <th className="number">average</th>
                    <th>result</th>
                    <th className="number">length</th>
                    <th className="number">size</th>
                    <th>
                      <span className="hidden">what to do</span>
                    </th>
                  </tr>
                </thead>
                <tbody>
                  {(all ? newest : newest.slice(0, SHOWN)).map((take) => (
                    <tr key={take.id} className={take.id === open ? 'chosen' : undefined}>
                      <td>
                        {dayOf(take.startedAt)}{' '}
                        {new Date(take.startedAt * 1000).toLocaleTimeString(undefined, {
                          hour: '2-digit',
                          minute: '2-digit',
                        })}
                      </td>
                      <td className="number">{speedInWords(take.averageSpeed, units)}</td>
                      <td>{take.kind === 'act' ? 'driver practice' : takeInWords(take)}</td>
                      <td className="number">{clockInWords(take.seconds)}</td>
                      <td className="number">{bytesInWords(take.bytes)}</td>
                      <td>
                        <span className="row">
                          {take.kind === 'read' && (
                            <button type="button" onClick={() => setShown(take.id)}>
                              show
                            </button>
                          )}
                          <button type="button" onClick={() => void erase(take)}>
                            erase
                          </button>
                        </span>
                      </td>
                    </tr>
                  ))}
                </tbody>
              </table>
            </WideTable>
            {newest.length > SHOWN && (
              <button type="button" aria-expanded={all} onClick={() => setAll(!all)}>
                {all ? 'only the newest' : `all ${newest.length} takes`}
              </button>
            )}
            <p className="small soft">
              All takes of this stage take {bytesInWords(view.storage.used)} on this machine
              {view.storage.free === null ? '' : `; ${bytesInWords(view.storage.free)} are free`}.{' '}
              <a href={`/api/stages/${stageId}/takes/all.csv`} download>
                every call of every take as CSV
              </a>
            </p>
          </section>
        </>
      )}
      <p className="row">
        <a className="button" href={`/stages/${stageId}/read`}>
          read aloud
        </a>
        <a className="button" href={`/stages/${stageId}/read?ride=act`}>
          driver practice
        </a>
      </p>
    </main>
  )
}

function OneTake({
  stageId,
  id,
  takes,
  changed,
}: {
  stageId: string
  id: string
  takes: readonly TakeSummary[]
  changed: () => Promise<void>
}) {
  const [take, setTake] = useState<TakeDetail | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const [against, setAgainst] = useState('')
  const [chosen, setChosen] = useState<number | null>(null)
  const [wrongOnly, setWrongOnly] = useState(true)
  const [replay, setReplay] = useState(false)
  useEffect(() => {
    let alive = true
    request<TakeDetail>(`/stages/${stageId}/takes/${id}`)
      .then(async (found) => {
        if (alive) setTake(found)
        if (found.kind !== 'read' || found.heard !== null || found.seconds < 1) return
        const heard = await hearAgain(stageId, found)
        if (!alive) return
        setTake(heard)
        await changed()
      })
      .catch((error: Error) => alive && setProblem(error.message))
    return () => {
      alive = false
    }
  }, [stageId, id, changed])
  const other = takes.find((one) => one.id === against)?.score ?? null
  if (!take) return problem ? <p className="problem">{problem}</p> : <p aria-busy="true">Opening the take …</p>
  return (
    <section aria-label="One take">
      <h2>
        The take of {dayOf(take.startedAt)}, {speedInWords(take.averageSpeed, 'metric')}
      </h2>
      <p className="lead">{take.score ? takeInWords(take) : 'This take was cut off. It is being listened to …'}</p>
      {problem && <p className="problem">{problem}</p>}
      {take.warnings.map((warning) => (
        <p key={warning} className="caution">
          {warning}
        </p>
      ))}
      {take.score && (
        <>
          <p>
            Words out before their deadline: {take.score.wordsOut.inTime}; too late: {take.score.wordsOut.tooLate}; too
            near to tell: {take.score.wordsOut.undecided}.{' '}
            {take.score.recoveries.length > 0 &&
              `After a slip it took ${recoveryInWords(take.score.recoveries)} to be back on time.`}
          </p>
          <TakeTimeline score={take.score} other={other} chosen={chosen} choose={setChosen} />
          <div className="row">
            <label>
              compare with{' '}
              <select value={against} onChange={(event) => setAgainst(event.target.value)}>
                <option value="">no other take</option>
                {takes
                  .filter((one) => one.id !== id && one.score !== null)
                  .map((one) => (
                    <option key={one.id} value={one.id}>
                      {dayOf(one.startedAt)}, {one.score!.inWindow} of {one.score!.reached} in window
                    </option>
                  ))}
              </select>
            </label>
            <label>
              <input type="checkbox" checked={wrongOnly} onChange={(event) => setWrongOnly(event.target.checked)} />{' '}
              only what went wrong
            </label>
            <button type="button" aria-pressed={replay} onClick={() => setReplay(!replay)}>
              play it on the road
            </button>
            <a
              className="button"
              href={`/stages/${stageId}/read?ride=act&take=${take.id}&average=${take.averageSpeed * 3.6}`}
            >
              act on it as the driver
            </a>
          </div>
          {other && (
            <p>
              The other take (rings): {other.inWindow} of {other.reached} in their window, longest run{' '}
              {other.longestRun}.
            </p>
          )}
          <ListenAgain stageId={stageId} take={take} />
          {replay && <ReplayTake stageId={stageId} take={take} />}
          <CallTable score={take.score} wrongOnly={wrongOnly} chosen={chosen} choose={setChosen} />
        </>
      )}
    </section>
  )
}

function recoveryInWords(recoveries: readonly { calls: number | null }[]): string {
  const known = recoveries.flatMap(({ calls }) => (calls === null ? [] : [calls])).sort((a, b) => a - b)
  if (known.length === 0) return 'the rest of the take'
  return `${known[known.length >> 1]} calls in the middle, ${known.at(-1)} at most,`
}
