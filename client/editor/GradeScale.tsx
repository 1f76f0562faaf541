import type { GradeScaleRow } from '../../server/placement/placement.ts'

const WIDTH = 420
const ROW = 24
const LEFT = 78
const LEAST = 5
const MOST = 400
const x = (radius: number) =>
  LEFT + (Math.log(Math.min(MOST, Math.max(LEAST, radius)) / LEAST) / Math.log(MOST / LEAST)) * (WIDTH - LEFT - 12)
const TICKS = [10, 20, 50, 100, 200]

/** The crew's own radius for each grade with its spread, beside the table's, and its metres: a small chart, and the same in words. */
export function GradeScale({ rows, odometer }: { rows: readonly GradeScaleRow[]; odometer: number }) {
  if (rows.length === 0) return null
  const height = rows.length * ROW + 26
  return (
    <details className="scale">
      <summary>This crew's grades on this road</summary>
      <svg
        viewBox={`0 0 ${WIDTH} ${height}`}
        role="img"
        aria-label="Radius of each grade, with its spread; the list below says the same."
      >
        {TICKS.map((tick) => (
          <g key={tick}>
            <line x1={x(tick)} x2={x(tick)} y1={0} y2={height - 20} className="tick" />
            <text x={x(tick)} y={height - 5} textAnchor="middle" className="small">
              {tick} m
            </text>
          </g>
        ))}
        {rows.map((row, i) => {
          const y = i * ROW + ROW / 2
          return (
            <g key={row.grade}>
              <text x={LEFT - 8} y={y + 5} textAnchor="end">
                {row.grade}
              </text>
              <line
                x1={x(row.radius * Math.exp(-row.spread))}
                x2={x(row.radius * Math.exp(row.spread))}
                y1={y}
                y2={y}
                className="spread"
              />
              {row.table !== undefined && (
                <line x1={x(row.table)} x2={x(row.table)} y1={y - 8} y2={y + 8} className="table" />
              )}
              <circle cx={x(row.radius)} cy={y} r={5} className="own" />
            </g>
          )
        })}
      </svg>
      <ul className="small">
        {rows.map((row) => (
          <li key={row.grade}>
            {row.grade}: {row.radius.toFixed(0)} m ± {Math.round(100 * row.spread)} %, from {row.calls}{' '}
            {row.calls === 1 ? 'call' : 'calls'}
            {row.table === undefined ? '' : `; the table has ${row.table.toFixed(0)} m`}
          </li>
        ))}
      </ul>
      <p className="small">One metre called is {(1 / odometer).toFixed(2)} m of this road.</p>
    </details>
  )
}
