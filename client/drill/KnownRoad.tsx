import type { LearnCall } from '../../server/api/learnWire.ts'
import type { RoadTable } from '../../server/api/wire.ts'
import { BANDS, bandOf, percent } from './learnWords.ts'

const SIZE = { width: 620, height: 400 }
const MARGIN = 24
/** Dashes and widths by band: the better known, the more solid. */
const STROKES = [
  { dash: '1 7', width: 3 },
  { dash: '3 7', width: 5 },
  { dash: '9 6', width: 6 },
  { dash: '22 4', width: 7 },
  { dash: '', width: 8 },
] as const

/** The road from above, each stretch as solid as its call is known, with its number from 0 to 4; the same as a list beside it. */
export function KnownRoad({ road, calls }: { road: RoadTable; calls: readonly LearnCall[] }) {
  const [left, right] = [Math.min(...road.x), Math.max(...road.x)]
  const [low, high] = [Math.min(...road.y), Math.max(...road.y)]
  const scale = Math.min(
    (SIZE.width - 2 * MARGIN) / Math.max(1, right - left),
    (SIZE.height - 2 * MARGIN) / Math.max(1, high - low),
  )
  const px = (i: number) => SIZE.width / 2 + (road.x[i]! - (left + right) / 2) * scale
  const py = (i: number) => SIZE.height / 2 - (road.y[i]! - (low + high) / 2) * scale
  const path = (from: number, to: number) => {
    const first = Math.max(0, Math.floor(from / road.step))
    const last = Math.min(road.x.length - 1, Math.ceil(to / road.step))
    let d = ''
    for (let i = first; i <= last; i++) d += `${d === '' ? 'M' : 'L'}${px(i).toFixed(1)} ${py(i).toFixed(1)}`
    return d
  }
  // Numbers stand apart: a crowd of them says nothing.
  const taken: { x: number; y: number }[] = []
  const counts = BANDS.map((_, band) => calls.filter((call) => bandOf(call.known, call.met) === band).length)
  return (
    <figure className="known">
      <svg
        viewBox={`0 0 ${SIZE.width} ${SIZE.height}`}
        role="img"
        aria-label={`Map of how well each place is known. ${BANDS.map((name, band) => `${name}: ${counts[band]}`).join(', ')}.`}
      >
        {calls.map((call) => {
          const band = bandOf(call.known, call.met)
          const at = Math.min(road.x.length - 1, Math.round((call.from + call.to) / 2 / road.step))
          const spot = { x: px(at) + 9, y: py(at) + 4 }
          const free = taken.every((one) => Math.hypot(one.x - spot.x, one.y - spot.y) > 17)
          if (free) taken.push(spot)
          return (
            <g key={call.call}>
              <path
                d={path(call.from, call.to)}
                strokeDasharray={STROKES[band].dash}
                strokeWidth={STROKES[band].width}
              />
              {free && (
                <text x={spot.x} y={spot.y}>
                  {band}
                </text>
              )}
            </g>
          )
        })}
      </svg>
      <figcaption className="small soft">
        {BANDS.map((name, band) => `${band} ${name} (${counts[band]})`).join(' · ')}
      </figcaption>
      <details>
        <summary>Every call, in order</summary>
        {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a list that scrolls must take the focus for the keys to reach it */}
        <section className="scroll" tabIndex={0} aria-label="Every call">
          <table>
            <thead>
              <tr>
                <th scope="col">call</th>
                <th scope="col" className="number">
                  known
                </th>
                <th scope="col" className="number">
                  met
                </th>
              </tr>
            </thead>
            <tbody>
              {calls.map((call) => (
                <tr key={call.call}>
                  <th scope="row">
                    {call.text}
                    {call.changed && <span className="over"> changed</span>}
                    {call.moment && <span className="soft"> · great moment</span>}
                  </th>
                  <td className="number">
                    {bandOf(call.known, call.met)} · {call.met === 0 ? '–' : percent(call.known)}
                  </td>
                  <td className="number">{call.met}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      </details>
    </figure>
  )
}
