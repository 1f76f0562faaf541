import { useEffect, useMemo, useState } from 'react'
import type { RoadTable } from '../../server/api/wire.ts'
import { roadPoint } from '../road/roadLookup.ts'
import { MapFrame } from './MapFrame.tsx'
import { beside, boxOf, type PlacedLabel, placeWords } from './mapWords.ts'
import { linePath, nearestRow, useMapView } from './useMapView.ts'

export type { PlacedLabel } from './mapWords.ts'

interface Props {
  readonly road: RoadTable
  readonly labels: readonly PlacedLabel[]
  readonly lit: number | null
  readonly choose: (call: number) => void
  /** A label dragged along the road to a station. */
  readonly anchor: (call: number, station: number) => void
}

/** A word moved less than this was only clicked. Pixels. */
const DRAGGED = 8

/** The road from above, north up, with its calls as words along it. Wheel and keys zoom, drag moves; a word dragged to the road is anchored there. */
export function PlanView({ road, labels, lit, choose, anchor }: Props) {
  const map = useMapView(road)
  const { size, fit, view, setMoved } = map
  /** Station under a word that is being dragged. */
  const [held, setHeld] = useState<number | null>(null)

  // A chosen call is brought into view.
  // biome-ignore lint/correctness/useExhaustiveDependencies: only a new choice moves the map
  useEffect(() => {
    const label = labels.find((one) => one.call === lit)
    if (!label) return
    const p = pixel((label.from + label.to) / 2)
    if (p.x < 40 || p.y < 40 || p.x > size.width - 40 || p.y > size.height - 40) {
      const scale = Math.max(view.scale, fit.scale * 3)
      const point = at((label.from + label.to) / 2)
      setMoved({ scale, x: size.width / 2 - point.x * scale, y: size.height / 2 + point.y * scale })
    }
  }, [lit])

  const scratch = { x: 0, y: 0, z: 0, heading: 0 }
  const at = (station: number) => {
    roadPoint(road, station, scratch)
    return { x: scratch.x, y: scratch.y, heading: scratch.heading }
  }
  const pixel = (station: number) => {
    const point = at(station)
    return { x: view.x + point.x * view.scale, y: view.y - point.y * view.scale, heading: point.heading }
  }
  const path = useMemo(() => linePath(road, view), [road, view])
  const nearest = (px: number, py: number) => nearestRow(road, view, px, py) * road.step
  const kilometres = Array.from({ length: Math.floor(road.length / 1000) }, (_, i) => {
    const text = `${i + 1} km`
    const place = beside(pixel((i + 1) * 1000), -1, size.height)
    return { text, ...place, box: boxOf(place.x, place.y, text, place.anchor) }
  })
  const words = placeWords(
    labels,
    lit,
    pixel,
    size,
    kilometres.map((one) => one.box),
  )
  const target = held === null ? null : pixel(held)
  const chosen = labels.find((one) => one.call === lit)
  return (
    <MapFrame
      map={map}
      role="img"
      label={`Plan of the road, north up, ${(road.length / 1000).toFixed(2)} km.`}
      draggable="data-call"
      dragged={({ far, x, y }) => far >= DRAGGED && setHeld(nearest(x, y))}
      dropped={({ name, far, x, y }) => {
        setHeld(null)
        if (name === null) return
        // A call just put somewhere is the chosen one: its word is shown even where another stands in its way.
        choose(Number(name))
        if (far >= DRAGGED) anchor(Number(name), nearest(x, y))
      }}
    >
      <path d={path} className="road-edge" />
      <path d={path} className="road" />
      {chosen && <path d={stretch(pixel, chosen.from, Math.max(chosen.to, chosen.from + 6))} className="road-lit" />}
      {kilometres.map((one) => (
        <text key={one.text} x={one.x} y={one.y} textAnchor={one.anchor} className="kilometre">
          {one.text}
        </text>
      ))}
      {words.map((word) => (
        <text
          key={word.call}
          x={word.x}
          y={word.y}
          textAnchor={word.anchor}
          data-call={word.call}
          className={word.call === lit ? 'word lit' : word.sure ? 'word' : 'word unsure'}
        >
          {word.text}
        </text>
      ))}
      {target && (
        <g className="held">
          <circle cx={target.x} cy={target.y} r={8} />
          <text x={Math.min(size.width - 70, target.x + 12)} y={Math.max(16, target.y - 12)}>
            {(held! / 1000).toFixed(2)} km
          </text>
        </g>
      )}
    </MapFrame>
  )
}

function stretch(pixel: (station: number) => { x: number; y: number }, from: number, to: number): string {
  let d = ''
  for (let s = from; s <= to; s += Math.max(1, (to - from) / 60)) {
    const p = pixel(s)
    d += `${d === '' ? 'M' : 'L'}${p.x.toFixed(1)} ${p.y.toFixed(1)}`
  }
  return d
}
