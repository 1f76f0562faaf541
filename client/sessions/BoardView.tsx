import type { Board } from '../../server/sessions/clubWire.ts'

/** Between runs: how early and late the room was, and who did what, of those who agreed to be shown. */
export function BoardView({ board }: { board: Board }) {
  const { counts, from, step } = board.histogram
  const most = Math.max(1, ...counts)
  const taps = board.early + board.onTime + board.late
  return (
    <section className="board stack" aria-label="Board">
      <h2>{board.title}</h2>
      {board.votes && (
        <p className="large">
          verbose {board.votes.verbose}, terse {board.votes.terse}
        </p>
      )}
      {taps > 0 && (
        <>
          <p className="large">
            {board.onTime} of {taps} on time, {board.early} early, {board.late} late, {board.missed} missed
          </p>
          <svg viewBox="0 0 480 150" className="histogram" role="img" aria-label="Taps by seconds early or late">
            {counts.map((count, i) => (
              <rect
                // biome-ignore lint/suspicious/noArrayIndexKey: bins have no other name
                key={i}
                x={i * 20 + 1}
                y={110 - (100 * count) / most}
                width={18}
                height={(100 * count) / most}
                className={Math.abs(from + (i + 0.5) * step) > 0.5 ? 'off' : 'on'}
              />
            ))}
            <path d="M0 110.5H480M240 5V116" className="axis" />
            <text x="0" y="138">
              3 s early
            </text>
            <text x="240" y="138" textAnchor="middle">
              now
            </text>
            <text x="480" y="138" textAnchor="end">
              3 s late
            </text>
          </svg>
        </>
      )}
      {board.mostSteady && (
        <p>
          Most steady: <bdi>{board.mostSteady.name}</bdi>, ± {board.mostSteady.spread.toFixed(2)} s
        </p>
      )}
      {board.bestRecovery && (
        <p>
          Best recovery: <bdi>{board.bestRecovery.name}</bdi>, {board.bestRecovery.seconds.toFixed(1)} s after a slip
        </p>
      )}
      {board.rows.length > 0 && (
        <table>
          <thead>
            <tr>
              <th>crew</th>
              <th className="number">{board.mode === 'quiz' ? 'right' : 'spread'}</th>
              <th className="number">{board.mode === 'quiz' ? 'asked' : 'mean'}</th>
            </tr>
          </thead>
          <tbody>
            {board.rows.slice(0, 8).map((row) => (
              <tr key={row.name}>
                <th scope="row">
                  <bdi>{row.name}</bdi>
                </th>
                <td className="number">{board.mode === 'quiz' ? row.right : seconds(row.spread)}</td>
                <td className="number">{board.mode === 'quiz' ? row.asked : seconds(row.mean)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      {board.unnamed > 0 && <p className="soft small">{board.unnamed} more took part without their names here.</p>}
      {taps === 0 && !board.votes && board.rows.length === 0 && <p>The run is over.</p>}
    </section>
  )
}

const seconds = (value: number | null): string =>
  value === null ? '–' : `${value < 0 ? '−' : ''}${Math.abs(value).toFixed(2)} s`
