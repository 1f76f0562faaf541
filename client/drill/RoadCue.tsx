import type { RoadTable } from '../../server/api/wire.ts'

const SIZE = { width: 300, height: 190 }
const MARGIN = 22
/** Metres of road shown before the call's place and after it; a short place is not blown up beyond NEAREST pixels a metre. */
const BEFORE = 60
const AFTER = 40
const NEAREST = 1.6

/** The road at a call's place from above, the way of travel upwards: what a driver has to know the call by. Decoration to who cannot see it: the calls round it are in words. */
export function RoadCue({ road, from, to }: { road: RoadTable; from: number; to: number }) {
  const at = (station: number) => Math.max(0, Math.min(road.x.length - 1, Math.round(station / road.step)))
  const [first, begin, end, last] = [at(from - BEFORE), at(from), at(to), at(to + AFTER)]
  // Headings are counter-clockwise from east; turned so that the car comes from below.
  const turn = Math.PI / 2 - road.heading[first]!
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)]
  const xs: number[] = []
  const ys: number[] = []
  for (let i = first; i <= last; i++) {
    const [x, y] = [road.x[i]! - road.x[first]!, road.y[i]! - road.y[first]!]
    xs.push(x * cos - y * sin)
    ys.push(x * sin + y * cos)
  }
  const [left, right, low, high] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)]
  const scale = Math.min(
    NEAREST,
    (SIZE.width - 2 * MARGIN) / Math.max(1, right - left),
    (SIZE.height - 2 * MARGIN) / Math.max(1, high - low),
  )
  const path = (a: number, b: number) => {
    let d = ''
    for (let i = a; i <= b; i++) {
      const x = SIZE.width / 2 + (xs[i - first]! - (left + right) / 2) * scale
      const y = SIZE.height / 2 - (ys[i - first]! - (low + high) / 2) * scale
      d += `${i === a ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`
    }
    return d
  }
  const x0 = SIZE.width / 2 + (xs[0]! - (left + right) / 2) * scale
  const y0 = SIZE.height / 2 - (ys[0]! - (low + high) / 2) * scale
  return (
    <figure className="cue">
      <svg viewBox={`0 0 ${SIZE.width} ${SIZE.height}`} aria-hidden="true" data-from={from}>
        <path className="round" d={path(first, last)} />
        <path className="place" d={path(begin, Math.max(begin + 1, end))} />
        <circle cx={x0} cy={y0} r="6" />
      </svg>
      {road.source === 'notes' && (
        <figcaption className="small soft">road drawn from the notes, not measured</figcaption>
      )}
    </figure>
  )
}
