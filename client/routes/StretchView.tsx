import { type KeyboardEvent, useMemo } from 'react'
import type { RoadChoice } from '../../server/api/wireRoad.ts'
import { type Grip, MapFrame } from './MapFrame.tsx'
import { linePath, nearestRow, useMapView } from './useMapView.ts'

export type End = 'start' | 'finish'

interface Props {
  readonly road: RoadChoice
  /** Stations of the whole road at which the stage starts and finishes; start lies beyond finish where it is driven the other way. */
  readonly ends: Readonly<Record<End, number>>
  readonly move: (end: End, station: number) => void
}

/** Steps of the keyboard along the road, metres. */
const STEPS: Readonly<Record<string, number>> = {
  ArrowRight: 10,
  ArrowUp: 10,
  ArrowLeft: -10,
  ArrowDown: -10,
  PageUp: 100,
  PageDown: -100,
}
const HALF_LINE = 11
const WORD_ASIDE = 34

/** The whole road of the files, north up, with the line the stage starts on and the one it finishes on; both are dragged along the road or moved by arrow keys. */
export function StretchView({ road, ends, move }: Props) {
  const map = useMapView(road)
  const { size, view } = map
  const whole = useMemo(() => linePath(road, view), [road, view])
  const [first, last] = [Math.min(ends.start, ends.finish), Math.max(ends.start, ends.finish)]
  const stage = useMemo(() => linePath(road, view, rowAt(road, first), rowAt(road, last)), [road, view, first, last])
  const at = (station: number) => {
    const i = rowAt(road, station)
    const [a, b] = [Math.max(0, i - 1), Math.min(road.x.length - 1, i + 1)]
    const along = Math.hypot(road.x[b]! - road.x[a]!, road.y[b]! - road.y[a]!) || 1
    return {
      x: view.x + road.x[i]! * view.scale,
      y: view.y - road.y[i]! * view.scale,
      // Across the road, on the screen.
      nx: (road.y[b]! - road.y[a]!) / along,
      ny: (road.x[b]! - road.x[a]!) / along,
    }
  }
  const drag = ({ name, x, y }: Grip) => {
    const i = nearestRow(road, view, x, y)
    if (name !== null) move(name as End, i === road.x.length - 1 ? road.length : i * road.step)
  }
  return (
    <MapFrame
      map={map}
      role="group"
      label={`Plan of the whole road, north up, ${(road.length / 1000).toFixed(2)} km.`}
      draggable="data-end"
      dragged={drag}
      dropped={() => {}}
    >
      <path d={whole} className="left-out" />
      <path d={stage} className="road-edge" />
      <path d={stage} className="road" />
      {(['start', 'finish'] as const).map((end) => (
        <Handle
          key={end}
          end={end}
          station={ends[end]}
          length={road.length}
          place={at(ends[end])}
          wide={size.width}
          move={move}
        />
      ))}
    </MapFrame>
  )
}

const rowAt = (road: RoadChoice, station: number) =>
  Math.max(0, Math.min(road.x.length - 1, Math.round(station / road.step)))

function Handle({
  end,
  station,
  length,
  place,
  wide,
  move,
}: {
  end: End
  station: number
  length: number
  place: { x: number; y: number; nx: number; ny: number }
  wide: number
  move: Props['move']
}) {
  const keyDown = (event: KeyboardEvent) => {
    const to =
      event.key === 'Home' ? 0 : event.key === 'End' ? length : event.key in STEPS ? station + STEPS[event.key]! : null
    if (to === null) return
    event.preventDefault()
    // The map itself moves by arrow keys.
    event.stopPropagation()
    move(end, Math.min(length, Math.max(0, Math.round(to))))
  }
  const [dx, dy] = [place.nx * HALF_LINE, place.ny * HALF_LINE]
  // Off to the side that has room, as the road's own words stand.
  const side = place.x + place.nx * WORD_ASIDE > wide - 50 || place.x + place.nx * WORD_ASIDE < 50 ? -1 : 1
  const word = { x: place.x + side * place.nx * WORD_ASIDE, y: place.y + side * place.ny * WORD_ASIDE + 5 }
  return (
    <g
      className="end"
      data-end={end}
      role="slider"
      tabIndex={0}
      aria-label={end}
      aria-valuemin={0}
      aria-valuemax={Math.round(length)}
      aria-valuenow={Math.round(station)}
      aria-valuetext={`${(station / 1000).toFixed(2)} km`}
      onKeyDown={keyDown}
    >
      <circle cx={place.x} cy={place.y} r={18} className="grip" />
      <line x1={place.x - dx} y1={place.y - dy} x2={place.x + dx} y2={place.y + dy} />
      <text x={Math.min(wide - 30, Math.max(30, word.x))} y={word.y} textAnchor="middle">
        {end}
      </text>
    </g>
  )
}
