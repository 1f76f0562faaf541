import { useEffect, useMemo, useRef, useState } from 'react'
import type { RoadTable } from '../../server/api/wire.ts'
import { roadPoint } from '../road/roadLookup.ts'
import { beside, boxOf, type PlacedLabel, placeWords } from './mapWords.ts'

export type { PlacedLabel } from './mapWords.ts'

interface Props {
  readonly road: RoadTable
  readonly labels: readonly PlacedLabel[]
  readonly lit: number | null
  readonly choose: (call: number) => void
  /** A label dragged along the road to a station. */
  readonly anchor: (call: number, station: number) => void
}

const MARGIN = 26
/** A word moved less than this was only clicked. Pixels. */
const DRAGGED = 8

/** The road from above, north up, with its calls as words along it. Wheel and keys zoom, drag moves; a word dragged to the road is anchored there. */
export function PlanView({ road, labels, lit, choose, anchor }: Props) {
  const box = useRef<SVGSVGElement>(null)
  const [size, setSize] = useState({ width: 600, height: 460 })
  const fit = useMemo(() => fitView(road, size), [road, size])
  const [moved, setMoved] = useState<{ x: number; y: number; scale: number } | null>(null)
  const view = moved ?? fit
  /** Station under a word that is being dragged. */
  const [held, setHeld] = useState<number | null>(null)
  const drag = useRef<{
    x: number
    y: number
    from: { x: number; y: number; scale: number }
    call: number | null
  } | null>(null)

  useEffect(() => {
    const watch = new ResizeObserver(([entry]) =>
      setSize({ width: Math.max(200, entry!.contentRect.width), height: Math.max(200, entry!.contentRect.height) }),
    )
    watch.observe(box.current!)
    return () => watch.disconnect()
  }, [])
  useEffect(() => {
    const element = box.current!
    const wheel = (event: WheelEvent) => {
      event.preventDefault()
      const rect = element.getBoundingClientRect()
      zoom(Math.exp(-event.deltaY / 350), event.clientX - rect.left, event.clientY - rect.top)
    }
    element.addEventListener('wheel', wheel, { passive: false })
    return () => element.removeEventListener('wheel', wheel)
  })
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
  const zoom = (factor: number, px: number, py: number) => {
    setMoved((before) => {
      const old = before ?? fit
      const scale = Math.min(8, Math.max(fit.scale * 0.7, old.scale * factor))
      const k = scale / old.scale
      return { scale, x: px - (px - old.x) * k, y: py - (py - old.y) * k }
    })
  }
  const path = useMemo(() => {
    let d = ''
    for (let i = 0; i < road.x.length; i++)
      d += `${i === 0 ? 'M' : 'L'}${(view.x + road.x[i]! * view.scale).toFixed(1)} ${(view.y - road.y[i]! * view.scale).toFixed(1)}`
    return d
  }, [road, view])
  const nearest = (px: number, py: number) => {
    let best = 0
    let least = Number.POSITIVE_INFINITY
    for (let i = 0; i < road.x.length; i++) {
      const d = (view.x + road.x[i]! * view.scale - px) ** 2 + (view.y - road.y[i]! * view.scale - py) ** 2
      if (d < least) {
        least = d
        best = i
      }
    }
    return best * road.step
  }
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
    <div className="plan-frame">
      <svg
        ref={box}
        className="plan"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: keys zoom and move the map, so it must take the focus
        tabIndex={0}
        role="img"
        aria-label={`Plan of the road, north up, ${(road.length / 1000).toFixed(2)} km. Plus and minus zoom, arrows move.`}
        onKeyDown={(event) => {
          const step = 60
          if (event.key === '+' || event.key === '=') zoom(1.3, size.width / 2, size.height / 2)
          else if (event.key === '-') zoom(1 / 1.3, size.width / 2, size.height / 2)
          else if (event.key === '0') setMoved(null)
          else if (event.key === 'ArrowLeft') setMoved({ ...view, x: view.x + step })
          else if (event.key === 'ArrowRight') setMoved({ ...view, x: view.x - step })
          else if (event.key === 'ArrowUp') setMoved({ ...view, y: view.y + step })
          else if (event.key === 'ArrowDown') setMoved({ ...view, y: view.y - step })
          else return
          event.preventDefault()
        }}
        onPointerDown={(event) => {
          const call = (event.target as Element).getAttribute('data-call')
          drag.current = { x: event.clientX, y: event.clientY, from: view, call: call === null ? null : Number(call) }
          event.currentTarget.setPointerCapture(event.pointerId)
        }}
        onPointerMove={(event) => {
          const grip = drag.current
          if (!grip) return
          const far = Math.hypot(event.clientX - grip.x, event.clientY - grip.y)
          if (grip.call !== null) {
            const rect = event.currentTarget.getBoundingClientRect()
            if (far >= DRAGGED) setHeld(nearest(event.clientX - rect.left, event.clientY - rect.top))
          } else if (far > 3)
            setMoved({ ...grip.from, x: grip.from.x + event.clientX - grip.x, y: grip.from.y + event.clientY - grip.y })
        }}
        onPointerUp={(event) => {
          const grip = drag.current
          drag.current = null
          setHeld(null)
          if (!grip || grip.call === null) return
          const far = Math.hypot(event.clientX - grip.x, event.clientY - grip.y)
          const rect = event.currentTarget.getBoundingClientRect()
          if (far < DRAGGED) choose(grip.call)
          else anchor(grip.call, nearest(event.clientX - rect.left, event.clientY - rect.top))
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
      </svg>
      <div className="plan-zoom">
        <button type="button" onClick={() => zoom(1.5, size.width / 2, size.height / 2)}>
          nearer
        </button>
        <button type="button" onClick={() => zoom(1 / 1.5, size.width / 2, size.height / 2)}>
          farther
        </button>
        <button type="button" onClick={() => setMoved(null)}>
          whole road
        </button>
      </div>
    </div>
  )
}

function fitView(road: RoadTable, size: { width: number; height: number }) {
  const left = Math.min(...road.x)
  const right = Math.max(...road.x)
  const low = Math.min(...road.y)
  const high = Math.max(...road.y)
  const scale = Math.min(
    (size.width - 2 * MARGIN) / Math.max(1, right - left),
    (size.height - 2 * MARGIN) / Math.max(1, high - low),
  )
  return { scale, x: size.width / 2 - ((left + right) / 2) * scale, y: size.height / 2 + ((low + high) / 2) * scale }
}

function stretch(pixel: (station: number) => { x: number; y: number }, from: number, to: number): string {
  let d = ''
  for (let s = from; s <= to; s += Math.max(1, (to - from) / 60)) {
    const p = pixel(s)
    d += `${d === '' ? 'M' : 'L'}${p.x.toFixed(1)} ${p.y.toFixed(1)}`
  }
  return d
}
