import { lazy, Suspense } from 'react'
import type { FitDocument, FitRow, PlanDocument } from '../../server/api/wire.ts'
import { SortHead, useSorting } from '../look/sorting.tsx'
import { speedInWords, type Units } from '../look/words.ts'

const SweepChart = lazy(() => import('./SweepChart.tsx'))

/** The same run in each wording, and the sweep over speeds, as numbers. */
export function WordingTable({
  fit,
  plan,
  units,
  choose,
}: {
  fit: FitDocument | null
  plan: PlanDocument
  units: Units
  choose: (wording: FitRow['wording']) => void
}) {
  if (!fit) return <p role="status">Comparing wordings …</p>
  return <Compared fit={fit} plan={plan} units={units} choose={choose} />
}

const SORTED_BY = {
  wording: (row: FitRow) => row.wording,
  pace: (row: FitRow) => row.wordsPerSecond,
  words: (row: FitRow) => row.words,
  places: (row: FitRow) => row.crunches,
  over: (row: FitRow) => row.lateSeconds,
  fits: (row: FitRow) =>
    row.fits === 'to ceiling' ? row.ceiling!.averageSpeed : row.fits === 'no speed' ? 0 : Number.POSITIVE_INFINITY,
}

function Compared({
  fit,
  plan,
  units,
  choose,
}: {
  fit: FitDocument
  plan: PlanDocument
  units: Units
  choose: (wording: FitRow['wording']) => void
}) {
  const sorting = useSorting(fit.wordings, SORTED_BY)
  return (
    <>
      <table>
        <thead>
          <tr>
            <SortHead sorting={sorting} column="wording">
              wording
            </SortHead>
            <SortHead sorting={sorting} column="pace" number>
              words/s
            </SortHead>
            <SortHead sorting={sorting} column="words" number>
              words
            </SortHead>
            <SortHead sorting={sorting} column="places" number>
              places
            </SortHead>
            <SortHead sorting={sorting} column="over" number>
              over, s
            </SortHead>
            <SortHead sorting={sorting} column="fits" number>
              fits to, {units === 'miles' ? 'mph' : 'km/h'}
            </SortHead>
          </tr>
        </thead>
        <tbody>
          {sorting.rows.map((row) => (
            <tr key={row.wording} className={row.wording === plan.run.wording ? 'chosen' : ''}>
              <th scope="row">
                <button type="button" className="quiet" onClick={() => choose(row.wording)}>
                  {row.wording}
                </button>
              </th>
              <td className="number">{row.wordsPerSecond.toFixed(1)}</td>
              <td className="number">{row.words}</td>
              <td className="number">{row.crunches}</td>
              <td className="number">{row.lateSeconds < 0.05 ? '0' : row.lateSeconds.toFixed(1)}</td>
              <td className="number">
                {row.fits === 'to ceiling' ? speedInWords(row.ceiling!.averageSpeed, units).split(' ')[0] : row.fits}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      {fit.wordings.map((row) => (
        <Spoken key={row.wording} row={row} time={plan.run.time} />
      ))}
    </>
  )
}

/** A wording over the whole stage in one line: speech as blocks, what is late taller and in its colour. */
function Spoken({ row, time }: { row: FitRow; time: number }) {
  const at = (t: number) => ((t / time) * 1000).toFixed(1)
  const path = (late: boolean) =>
    row.spoken
      .filter((one) => one[2] > 0.2 === late)
      .map(([start, end]) => `M${at(start)} ${late ? 0 : 4}V20H${at(end)}V${late ? 0 : 4}Z`)
      .join('')
  return (
    <div className="spoken small" aria-hidden="true">
      <span>{row.wording}</span>
      <svg viewBox="0 0 1000 20" preserveAspectRatio="none" role="presentation">
        <path d={path(false)} className="fits" />
        <path d={path(true)} className="late" />
      </svg>
    </div>
  )
}

/** Seconds over at other speeds, as a chart and as numbers. */
export function OtherSpeeds({ fit, plan, units }: { fit: FitDocument | null; plan: PlanDocument; units: Units }) {
  return (
    <section className="speeds">
      <h2>Seconds over at other speeds</h2>
      {fit ? (
        <>
          <Suspense fallback={<div className="sweep" />}>
            <SweepChart fit={fit} units={units} now={plan.run.averageSpeed} />
          </Suspense>
          <p className="small soft">Uprights: where each wording stops fitting; the thick one is this plan.</p>
          <Sweep fit={fit} units={units} />
        </>
      ) : (
        <div className="sweep" />
      )}
    </section>
  )
}

/** Seconds late against average speed; the speeds at which each wording begins to be late stand in the table above. */
function Sweep({ fit, units }: { fit: FitDocument; units: Units }) {
  const speeds = (fit.sweep[0]?.points ?? []).map(({ averageSpeed }, i) => ({
    averageSpeed,
    points: fit.sweep.map(({ points }) => points[i]!),
  }))
  const sorting = useSorting(speeds, {
    average: (row) => row.averageSpeed,
    ...Object.fromEntries(
      // A speed the car cannot reach has no seconds: it stands after every other.
      fit.sweep.map(({ wording }, w) => [
        wording,
        (row: (typeof speeds)[number]) => row.points[w]!.lateSeconds ?? Number.MAX_VALUE,
      ]),
    ),
  })
  return (
    <details>
      <summary>The same as numbers: seconds over, and places that do not fit</summary>
      <table>
        <thead>
          <tr>
            <SortHead sorting={sorting} column="average">
              average
            </SortHead>
            {fit.sweep.map(({ wording }) => (
              <SortHead key={wording} sorting={sorting} column={wording} number>
                {wording}
              </SortHead>
            ))}
          </tr>
        </thead>
        <tbody>
          {sorting.rows.map((row) => (
            <tr key={row.averageSpeed}>
              <th scope="row">{speedInWords(row.averageSpeed, units)}</th>
              {row.points.map((point, w) => (
                <td key={fit.sweep[w]!.wording} className="number">
                  {point.lateSeconds === null ? '–' : `${point.lateSeconds.toFixed(1)} · ${point.crunches ?? 0}`}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  )
}
