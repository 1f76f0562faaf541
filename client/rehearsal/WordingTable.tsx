import type { FitDocument, FitRow, PlanDocument } from '../../server/api/wire.ts'
import { speedInWords, type Units } from '../look/words.ts'

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
              over
            </th>
            <th scope="col" className="number">
              fits to
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
              <td className="number">{row.lateSeconds < 0.05 ? '0 s' : `${row.lateSeconds.toFixed(1)} s`}</td>
              <td className="number">{row.ceiling ? speedInWords(row.ceiling.averageSpeed, units) : 'any'}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <Sweep fit={fit} units={units} />
    </>
  )
}

/** Seconds late against average speed; the speeds at which each wording begins to be late stand in the table above. */
function Sweep({ fit, units }: { fit: FitDocument; units: Units }) {
  return (
    <details>
      <summary>Seconds over at other speeds</summary>
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
                  {points[i]!.lateSeconds === null ? '–' : points[i]!.lateSeconds.toFixed(1)}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </details>
  )
}
