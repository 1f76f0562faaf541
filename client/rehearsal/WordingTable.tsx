import { lazy, Suspense } from 'react'
import type { FitDocument, FitRow, PlanDocument } from '../../server/api/wire.ts'
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
  return (
    <>
      <table>
        <thead>
          <tr>
            <th scope="col">wording</th>
            <th scope="col" className="number">
              words/s
            </th>
            <th scope="col" className="number">
              words
            </th>
            <th scope="col" className="number">
              places
            </th>
            <th scope="col" className="number">
              over, s
            </th>
            <th scope="col" className="number">
              fits to, {units === 'miles' ? 'mph' : 'km/h'}
            </th>
          </tr>
        </thead>
        <tbody>
          {fit.wordings.map((row) => (
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
  return (
    <details>
      <summary>The same as numbers: seconds over, and places that do not fit</summary>
      <table>
        <thead>
          <tr>
            <th scope="col">average</th>
            {fit.sweep.map(({ wording }) => (
              <th key={wording} scope="col" className="number">
                {wording}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {(fit.sweep[0]?.points ?? []).map((point, i) => (
            <tr key={point.averageSpeed}>
              <th scope="row">{speedInWords(point.averageSpeed, units)}</th>
              {fit.sweep.map(({ wording, points }) => (
                <td key={wording} className="number">
                  {points[i]!.lateSeconds === null
                    ? '–'
                    : `${points[i]!.lateSeconds.toFixed(1)} · ${points[i]!.crunches ?? 0}`}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  )
}
