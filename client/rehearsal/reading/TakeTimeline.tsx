import type { TakeScore } from '../../../server/rehearsal/scoreTake.ts'
import { WideTable } from '../../look/WideTable.tsx'
import { clockInWords } from '../../look/words.ts'
import { secondsInWords } from './takeInWords.ts'

const HEIGHT = 150
const WIDTH = 1000
/** Seconds from the middle line to the edge. */
const EDGE = 3

/**
 * Early and late call by call: time runs to the right, early above the line, late below it. Shapes as on the live cue: hollow square early, full bar in window,
 * hatched block late; a cross is left out, a dot not told.
 */
export function TakeTimeline({
  score,
  other,
  chosen,
  choose,
}: {
  score: TakeScore
  other: TakeScore | null
  chosen: number | null
  choose: (index: number) => void
}) {
  const calls = score.calls.filter((call) => call.verdict !== 'not reached')
  const x = (i: number) => 20 + (i / Math.max(1, calls.length - 1)) * (WIDTH - 40)
  const y = (off: number) => HEIGHT / 2 + (Math.max(-EDGE, Math.min(EDGE, off)) / EDGE) * (HEIGHT / 2 - 14)
  const others = new Map(other?.calls.map((call) => [call.index, call]))
  return (
    <svg
      className="timeline"
      viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
      role="img"
      aria-label="Early and late, call by call; the table below says the same"
    >
      <defs>
        <pattern id="late" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <rect width="3" height="6" fill="var(--over)" />
        </pattern>
      </defs>
      <line x1="0" x2={WIDTH} y1={HEIGHT / 2} y2={HEIGHT / 2} stroke="var(--soft)" />
      <text x="2" y="12" fontSize="12" fill="var(--soft)">
        early
      </text>
      <text x="2" y={HEIGHT - 4} fontSize="12" fill="var(--soft)">
        late
      </text>
      {calls.map((call, i) => {
        const at = y(call.off ?? 0)
        const before = others.get(call.index)
        return (
          // biome-ignore lint/a11y/useKeyWithClickEvents: the table below holds the same calls as buttons
          // biome-ignore lint/a11y/noStaticElementInteractions: see above
          <g key={call.index} onClick={() => choose(call.index)}>
            <title>{`${call.say}: ${call.verdict}${call.off === null ? '' : `, ${secondsInWords(call.off)}`}`}</title>
            <rect
              x={x(i) - 4}
              y="0"
              width="8"
              height={HEIGHT}
              fill={call.index === chosen ? 'var(--voice)' : 'transparent'}
            />
            {before?.off != null && (
              <circle cx={x(i)} cy={y(before.off)} r="3.4" fill="none" stroke="var(--voice-edge)" />
            )}
            {call.verdict === 'early' && (
              <rect x={x(i) - 4} y={at - 4} width="8" height="8" fill="none" stroke="var(--over)" strokeWidth="2" />
            )}
            {call.verdict === 'in window' && (
              <rect
                x={x(i) - 2}
                y={Math.min(at, HEIGHT / 2) - 2}
                width="4"
                height={Math.abs(at - HEIGHT / 2) + 4}
                fill="var(--ink)"
              />
            )}
            {call.verdict === 'late' && (
              <rect
                x={x(i) - 4}
                y={HEIGHT / 2}
                width="8"
                height={Math.max(6, at - HEIGHT / 2)}
                fill="url(#late)"
                stroke="var(--over)"
              />
            )}
            {(call.verdict === 'skipped' || call.verdict === 'rescued') && (
              <path d={`M${x(i) - 5} ${HEIGHT / 2 - 5}l10 10m0 -10l-10 10`} stroke="var(--over)" strokeWidth="2" />
            )}
            {(call.verdict === 'not heard' || call.verdict === 'not sure') && (
              <circle cx={x(i)} cy={at} r="2.5" fill="var(--soft)" />
            )}
          </g>
        )
      })}
    </svg>
  )
}

const NAMES: Readonly<Record<string, string>> = {
  skipped: 'left out',
  rescued: 'said by the voice',
  'not sure': 'heard, not sure',
}

/** The same as a table: what a screen reader reads and a spreadsheet takes. */
export function CallTable({
  score,
  wrongOnly,
  chosen,
  choose,
}: {
  score: TakeScore
  wrongOnly: boolean
  chosen: number | null
  choose: (index: number) => void
}) {
  const calls = score.calls.filter(
    (call) =>
      call.verdict !== 'not reached' && (!wrongOnly || call.verdict !== 'in window' || call.wordsOut === 'too late'),
  )
  if (calls.length === 0) return <p>Every call was in its window, with its words out in time.</p>
  return (
    <WideTable label="Calls of the take">
      <table className="calls">
        <thead>
          <tr>
            <th>call</th>
            <th>words</th>
            <th>verdict</th>
            <th className="number">start against preferred</th>
            <th>words out</th>
            <th>besides</th>
          </tr>
        </thead>
        <tbody>
          {calls.map((call) => (
            <tr key={call.index} className={call.index === chosen ? 'chosen' : undefined} data-verdict={call.verdict}>
              <td>
                <button type="button" className="quiet" onClick={() => choose(call.index)}>
                  {call.start === null ? `call ${call.index + 1}` : clockInWords(call.start)}
                </button>
              </td>
              <td>{call.say}</td>
              <td>
                {NAMES[call.verdict] ?? call.verdict}
                {call.onTheLine ? ', on the line' : ''}
              </td>
              <td className="number">{call.off === null ? '' : secondsInWords(call.off)}</td>
              <td>{call.wordsOut ?? ''}</td>
              <td>
                {[call.corrected ? 'begun again' : '', call.again > 0 ? 'said twice' : ''].filter(Boolean).join(', ')}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </WideTable>
  )
}
